-- Tells, in one line of JSON, what the player knows of the file at its end, then jumps to the middle and tells where
-- it came to.
local utils = require("mp.utils")
local told, ended = {}, false

local function tell(kind, table)
    table.kind = kind
    mp.msg.info((utils.format_json(table)))
end

mp.observe_property("video-params", "native", function(_, value)
    if value then told.video = value end
end)
mp.observe_property("audio-params", "native", function(_, value)
    if value then told.sound = value end
end)
mp.observe_property("eof-reached", "bool", function(_, reached)
    if not reached or ended then return end
    ended = true
    told.seconds = mp.get_property_number("duration")
    told.dropped = mp.get_property_number("frame-drop-count", 0) + mp.get_property_number("decoder-frame-drop-count", 0)
    told.picture = mp.get_property_bool("current-tracks/video/image", false)
    tell("ended", told)
    if told.picture then mp.command("quit") return end
    mp.register_event("playback-restart", function()
        tell("middle", { at = mp.get_property_number("time-pos") })
        mp.command("quit")
    end)
    mp.set_property_bool("pause", true)
    mp.commandv("seek", "50", "absolute-percent", "exact")
end)
