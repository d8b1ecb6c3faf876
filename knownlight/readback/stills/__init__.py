"""Reading picture files: headers by readers of ours, pixels by a library that did not write them."""
