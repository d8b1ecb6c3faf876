// A picture that may not stand for long: counts its time down, then the rest that the set needs.
const Countdown = (() => {
  const SECOND = 1000; // ms
  const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;

  // Counts whole seconds down by the clock, so that a tab that sleeps is not behind; `tick` gets what is left.
  function count(seconds, tick, done) {
    const end = Date.now() + seconds * SECOND;
    const timer = setInterval(() => {
      const left = Math.max(0, Math.ceil((end - Date.now()) / SECOND));
      tick(left);
      if (left === 0) {
        clearInterval(timer);
        done();
      }
    }, SECOND / 4);
    tick(Math.ceil(seconds));
    return timer;
  }

  // A button with data-hold (s): the first press starts, the second stops. `left` is a status that is read out,
  // so the running figure goes onto the button and only what is to be done into `left`.
  function bind(button, left) {
    const hold = Number(button.dataset.hold), label = button.textContent;
    let running = null;

    function idle(words) {
      running = null;
      button.textContent = label;
      left.textContent = words;
    }

    function rest() {
      left.textContent = "Time is up: show moving pictures now, and let the set rest as long.";
      running = count(hold, (s) => { button.textContent = `Rest: ${clock(s)}`; }, () => idle("Rested."));
    }

    button.addEventListener("click", () => {
      if (running !== null) {
        clearInterval(running);
        idle("Stopped.");
        return;
      }
      left.textContent = "Started.";
      running = count(hold, (s) => { button.textContent = `Stop: ${clock(s)} left`; }, rest);
    });
  }

  return Object.freeze({ bind });
})();

