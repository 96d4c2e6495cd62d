//! The words of [`crate::domain::judge::readings::shown`]: which say that nothing is there, that it is too low, that it moves.
//!
//! Lists are written with commas. Leaves out how they are read. Common practice, no source.

/// What a word says of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sense {
    /// Nothing there, at ground.
    Zero,
    /// Less than it should be.
    Low,
    /// Kept at ground.
    HeldLow,
    /// More than it should be.
    High,
    /// Kept at its supply.
    HeldHigh,
    /// It goes between levels.
    Moving,
    /// It does not move.
    Still,
    /// It climbs in steps.
    Steps,
    /// Nothing is wrong there.
    Good,
    /// Not clean.
    Noisy,
    /// No way through.
    Open,
    /// A way through to ground.
    Short,
    /// Between its levels.
    Middle,
    /// Too fast or too slow.
    OffFrequency,
}

/// Phrases by sense; where one stands in another the longer counts.
pub(super) const PHRASES: [(Sense, &str); 14] = [
    (
        Sense::Zero,
        "nought, nothing there, nothing at all, not any, no sign, zero volts, no dc, vanished, absolutely nothing, not one volt, no feed, no supply, no power, \
         nil, zilch, nada, nowt, zip, nothing, none, naught, zero, dead, absent, missing, \
         gone, away, lost, not there, not present, not a volt, no volt, no volts, \
         no voltage, no signal, no sign of it, no life, no activity, no draw, no current, \
         not a twitch, not a flicker, not a sausage, never came, never came up, never comes, \
         never arrives, never got, did not come, did not come up, does not come, \
         didn't come, doesn't come, not come, flat line, flatline, flatlined, flat lined, \
         silent, no oscillation, not running, not oscillating, doesn't run, at ground, \
         wasn't there, isn't there, weren't there, was not there, is not there, empty, \
         failed to appear, fails to appear, no output, no pulses, no clock, no wave, \
         no waveform",
    ),
    (
        Sense::Low,
        "sagged to, way under, well under, far under, well below, far below, not up to, dragged, shy of, insufficient, halved, poor, leaked, leaks, tiny, nearly shorted, almost shorted, nearly a short, almost a short, couple of ohm, few ohm, handful of ohm, very low, \
         low, lower, too small, to small, small, too little, too low, down, dropped, drops, \
         sagging, sags, sagged, sag, droops, drooped, weak, under, below, beneath, short of, \
         collapsed, dips, dipped, half dead, leaky, leaking, leakage, loaded, starved, \
         feeble, reduced, came only, not enough, falls, fell, pulled down, dragged down, \
         less than",
    ),
    (
        Sense::High,
        "higher, higher than, larger, increased, overvolting, climbing past, climbed past, rose past, exceeds, exceeded, double, twice, \
         high, too high, to high, too much, to much, over, above, raised, excessive, excess, \
         runaway, ran away, up, way up, over the top, beyond, heavy, more than, overvoltage, \
         over voltage, elevated, bigger, greater",
    ),
    (
        Sense::Moving,
        "see sawed, flipping, rocking, up down up down, on off on off, yo yoing, keeps restarting, keeps dropping, rises and drops, rises and falls, drops and rises, goes up and drops, loops, looping, in a loop, waves, wandering, alternates, alternating, sawtooth, beating, throbbing, stuttering, stutters, \
         cycling, cycles, cycle, cycled, pulsing, pulses, pulsed, pulsating, hunting, hunts, \
         hunted, hopping, hops, hopped, pumping, pumps, pumped, see saw, see sawing, seesaw, \
         seesawing, see saws, bouncing, bounces, bounced, jumps, jumping, jumped, swings, \
         swinging, swung, hiccup, hiccups, hiccuping, hiccupping, hiccoughs, breathing, \
         breathes, surging, surges, surged, ticking, ticks, retries, retrying, restarting, \
         restarts, oscillates, oscillating, fluctuates, fluctuating, fluctuated, wobbling, \
         wobbles, dancing, dances, flapping, yo yo, yoyo, up and down, on and off, \
         in and out, back and forth, to and fro, comes and goes, came and went, \
         coming and going, never settles, never settling, never settled, never steady, \
         not steady, unsteady, unstable, not stable, won't settle, rhythmically, rhythmic, \
         between two levels, over and over, again and again, toggling, toggles, \
         motorboating, pendulum, intermittent, flickering, rises and falls, \
         rising and falling, rose and fell",
    ),
    (
        Sense::Still,
        "stays put, stayed put, sits still, not budge, n't budge, doesn't budge, didn't budge, wouldn't budge, won't budge, won't budge, never budges, stalled, stalls, idle, motionless, steadily, no movement, nailed at, pinned at, \
         stuck, steady, constant, fixed, flat, frozen, parked, still, stands still, \
         stand still, standing still, stays, stayed, staying, sits, sat, sitting, hangs, \
         hung, hanging, same, unchanging, does not move, did not move, doesn't move, \
         didn't move, not moving, never moves, never moved, does not climb, doesn't climb, \
         did not climb, not climb, does not rise, doesn't rise, not rise, never rises, \
         never climbs, not go higher, don't go higher, dont go higher, doesn't go higher, \
         no higher, at one value, one value, no further, stable, stationary, glued, planted",
    ),
    (
        Sense::Steps,
        "steps, stepped, step, stages, staircase, stairs, in stages, step by step, \
         climbs then stops, climbs and stops, climbed and stopped, rises then stops, \
         rises and stops, stops part way, stops halfway, notches",
    ),
    (
        Sense::Good,
        "steady, stable, clean, well, exactly, perfectly, like new, solid, sound, matches, matched, matching, identical, same as good, near enough right, \
         normal, normally, good, fine, ok, okay, usual, everyday, ordinary, healthy, right, \
         correct, correctly, in spec, in band, in tolerance, on the nose, spot on, bang on, \
         as it should, as should, as usual, like a good one, like a good un, \
         like the good one, as a good one, as the good one, as on a good board, \
         same as the good board, same as a good one, same as the good one, \
         matches reference, matched the reference, matches the reference, equals reference, \
         equals the reference, as reference, checked out, where it belongs, present, there, \
         alive, up to scratch, no fault, no short, not shorted, steady all day, rock steady, \
         perfect, nominal, as expected, as it was, released, free",
    ),
    (
        Sense::Noisy,
        "awful, ugly, messy, furry, wave on it, ac on it, spike, glitches, glitchy, \
         noise, noisy, ripple, ripples, rippling, hash, dirty, spikes, spiky, rough, grass, \
         fuzz, fuzzy, hairy, whiskers, hum, ragged, jagged, ringing, scruffy, filthy",
    ),
    (
        Sense::Open,
        "goes nowhere, open loop, no connection, not connected, no contact, no path, nothing connected, infinite ohms, o l, \
         open, ol, over range, overrange, infinite, infinity, no continuity, broken, \
         open circuit, interrupted, out of range, no reading, megohms",
    ),
    (
        Sense::Short,
        "beep, dead shorted, hard short, solid short, straight short, stone short, \
         short, shorted, shorts, dead short, short circuit, zero ohms, no drop, \
         under an ohm, less than an ohm, below an ohm, beeps, beeped, beeping",
    ),
    (
        Sense::Middle,
        "mid, middle, midway, half level, half way, halfway, in between, intermediate, \
         neither high nor low, half rail, half the rail, no man's land",
    ),
    (
        Sense::OffFrequency,
        "hz out, hz off, hz low, hz high, out of frequency, ppm, off by, off centre, pulled off, \
         off frequency, wrong frequency, frequency wrong, frequency off, slow, fast, \
         too slow, too fast, detuned, drifted, drifts, off by, adrift, frequency low, \
         frequency high, wrong",
    ),
    (
        Sense::HeldLow,
        "never let go, never lets go, does not let go, didn't let go, doesn't let go, \
         never rises, never rose, never goes high, never went high, never released, \
         never comes high, not released, won't rise, does not rise, doesn't rise, \
         always low, in the mud, on the floor, on the deck, on the ground, \
         flat on the floor, in the dirt, in the cellar",
    ),
    (
        Sense::HeldHigh,
        "saturated, pegged, maxed, maxed out, railed, \
         never falls, never fell, always high, never goes low, through the roof, \
         on the ceiling, against the rail, at the rail, top rail, full rail",
    ),
];
/// What holds a line somewhere.
pub(super) const HOLDING: &str = "stuck, held, holds, holding, jammed, pinned, nailed, clamped, tied, pulled, \
     dragged, hung, hangs, hanging, locked, latched, glued, parked, sits, sitting, sat, \
     stays, stayed, stay, staying, lies, lying, lay, laid, stood, stands, rests, \
     resting, kept, keeps, forced, strapped, shorted, hard, welded";
/// Where a line is that is held low.
pub(super) const DOWN: &str = "low, down, ground, gnd, floor, earth, zero, 0, bottom, deck, nothing, mud, chassis, \
     minus";
/// Where a line is that is held high.
pub(super) const UP: &str = "high, up, top, supply, ceiling, roof, rail, plus, vcc";
/// It goes up ...
pub(super) const CLIMBING: &str = "climb, climbs, climbing, climbed, rise, rises, rising, rose, builds, crept, creeps, \
     went, goes, stages, steps, stepped";
/// ... and then no further.
pub(super) const STOPPING: &str = "stops, stop, stopped, stopping, halts, halted, halt, hangs, hung, sticks, stuck, \
     freezes, froze, stalls, stalled";
/// Verbs that an "up" belongs to.
pub(super) const WITH_UP: &str = "power, powers, powered, start, starts, started, switch, hooked, hook, turn, boot, \
     boots, pull, pulls, pulled, end, ends, ended, warm, back, wake, wakes, woke, set, come, comes, came, coming, \
     clean, cleaned, charge, charged, show, shows, showed, lit, lights";
/// Denies the word behind it.
pub(super) const DENYING: &str = "not, no, never, n't, isn't, wasn't, weren't, aren't, didn't, doesn't, without, \
     neither, nor, isnt, wasnt, hardly";
/// Says that the number behind it is what should be there.
pub(super) const SHOULD: &str = "should, ought, must, supposed, instead, where, for, normally, usually, \
     than, not, want, wants, wanted, expect, expects, expected, spec, nominal, rated, \
     reference, no, should've, shouldve, place, belongs, needs";
/// Says that the number before it is what should be there.
pub(super) const BELONGS: &str =
    "belongs, belong, should, ought, wanted, expected, what, needed, idle";

/// Returns the words of a list.
pub(super) fn of(list: &'static str) -> impl Iterator<Item = &'static str> {
    list.split(", ")
}

/// Tells whether `word` is of a list.
pub(super) fn is_of(list: &'static str, word: &str) -> bool {
    of(list).any(|w| w == word)
}

/// Tells whether a word says that something is kept where it is.
pub(in crate::domain::judge) fn holds(word: &str) -> bool {
    is_of(HOLDING, word)
}
