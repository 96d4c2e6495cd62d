//! What a word or phrase of the bench can mean.

use std::borrow::Cow;

/// One meaning; a phrase may have several, and what stands beside it decides.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sense {
    /// An act of repair, from the vocabulary of jobs.
    Act(&'static str),
    /// Names an act, but only where something is named that it was done to ("new", "fit").
    WeakAct(&'static str),
    /// Judges a reading.
    Verdict(Verdict),
    /// A pattern of current draw.
    Draw(&'static str),
    /// A visual sign.
    Sign(&'static str),
    /// Customer's words.
    Complaint(&'static str),
    /// Tells how it ended.
    End(End),
    /// Why there was no fix.
    NoFix(&'static str),
    /// Where the board had been.
    Environment(Cow<'static, str>),
    /// Names a circuit family outright.
    Family(Cow<'static, str>),
    /// Something on a board that has a function; the word is its plain name.
    Noun(&'static str),
    /// A signal or link by its function.
    Signal(&'static str),
    /// A supply rail by its function.
    Rail(&'static str),
    /// A place that is no part: a corner, a side, a shield.
    Spot(&'static str),
    /// State of the board.
    State(&'static str),
    /// Denies what follows.
    Not,
    /// What was done before had no effect.
    InVain,
    /// What follows was only tried.
    Tried,
    /// What was done before is what helped.
    Helped,
    /// What was done before made it worse.
    Worse,
    /// Says when something was read or seen.
    Moment(Moment),
    /// A cue for the numbers beside it.
    Cue(Cue),
    /// How far a sign reaches.
    Extent(&'static str),
    /// A remark on the whole row.
    Remark(Remark),
    /// Says that it is only thought: "probably".
    Hedge,
    /// Ends a clause ("then", "but").
    Break,
    /// Joins two things ("and").
    And,
    /// Offers one of two things ("or").
    Or,
    /// A test by hand, whose result is words.
    Trial,
    /// Says nothing by itself.
    Filler,
}

/// A judgement of a reading; what it means depends on what was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Shorted.
    Short,
    /// Too low.
    Low,
    /// Too high.
    High,
    /// Not there, dead.
    Absent,
    /// As it should be.
    Good,
    /// There.
    Present,
    /// Open.
    Open,
    /// Over the meter's range.
    OverRange,
    /// Comes and goes.
    Pulsing,
    /// Noisy.
    Noisy,
    /// Held high.
    StuckHigh,
    /// Does not change; its level says which.
    Stuck,
    /// Held low.
    StuckLow,
    /// Neither high nor low.
    Mid,
    /// Wrong frequency.
    WrongFrequency,
    /// Leaks current.
    Leaky,
    /// Warmer than it should be.
    Hot,
    /// Warm.
    Warm,
    /// Blown, of a fuse.
    Blown,
    /// Bad in a way that the word does not tell.
    Bad,
    /// Away, over: an ending for a fault, absence for a rail.
    Gone,
    /// There again.
    Back,
}

/// How a job ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// It works; nobody knows yet for how long.
    Good,
    /// It held.
    Held,
    /// It came back with the same fault.
    SameFault,
    /// It came back with another fault.
    OtherFault,
    /// It came back, nobody says with what.
    Returned,
    /// It was not repaired.
    NoFix,
    /// Nobody knows, as written.
    Unknown,
}

/// When something was read or seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    /// After an act, now.
    After,
    /// Before anything was done.
    Before,
    /// Before cleaning.
    BeforeCleaning,
    /// After cleaning.
    AfterCleaning,
}

/// What stands before or after a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cue {
    /// The number is a draw.
    Draw,
    /// The number is a supply's limit.
    Limit,
    /// The number is a supply's volts.
    Supply,
    /// The supply's volts in limit.
    Collapsed,
    /// The number was read in diode mode.
    Diode,
    /// The number is a resistance.
    Resistance,
    /// Measured to ground.
    ToGround,
    /// The source was off.
    SourceOff,
    /// A good board's number follows.
    Reference,
    /// A place follows.
    At,
    /// A place beside something follows.
    Near,
    /// A place under something follows.
    Under,
    /// What stands before is a rail.
    Rail,
    /// A time follows.
    Every,
    /// About.
    About,
    /// Less than.
    Below,
    /// More than.
    Above,
    /// A phase follows.
    Phase,
    /// A revision follows.
    Revision,
    /// Everything in range.
    All,
    /// Red lead to ground.
    RedToGround,
    /// Black lead to ground.
    BlackToGround,
    /// Of a pin number.
    Pin,
    /// Amps injected to find a short.
    Inject,
    /// The board's mains side.
    Mains,
    /// Only to test.
    OnlyToTest,
    /// A part's number follows that is told from another board.
    Version,
    /// A temperature.
    Heat,
    /// It climbs.
    Climbs,
    /// To, through.
    To,
    /// The same again.
    Again,
}

/// A remark on the whole row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remark {
    /// Same as the row above.
    Above,
    /// No fault found.
    NoFaultFound,
    /// Nothing entered: `n/a`, `-`.
    Nothing,
}
