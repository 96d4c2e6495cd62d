//! Ordinary words that stand near a word of the trade and are no slip of it: "charter", "sure", "register".
//!
//! Found by reading some thirty thousand words of manuals and comments through the mending of slips and
//! keeping what it would have spoilt; the list is no dictionary.

use crate::domain::judge::words;

/// The words, in any regular form.
const WORDS: [&str; 350] = [
    "accumulate", "analogous", "badge", "batch", "bench", "boost", "boot", "branch", "bring",
    "calibration", "caller", "capacity", "casing", "catch", "chance", "changer", "charge",
    "charged", "charging", "charter", "cheek", "choke", "clap", "cleaner", "clear", "clone",
    "code", "collect", "collector", "column", "compact", "compare", "competing", "compile",
    "complete", "compose", "compress", "compute", "conduct", "conductive", "conductor", "conform",
    "connect", "connected", "connecting", "connection", "constant", "contain", "content",
    "context", "contract", "control", "convert", "couple", "course", "crate", "decode", "decoder",
    "decrease", "degrade", "derive", "drive", "enable", "enabler", "even", "filed", "filler",
    "find", "finder", "fire", "fist", "fix", "flush", "follow", "freeze", "fund", "handle",
    "harmonize", "head", "header", "heart", "heater", "hold", "indicate", "indicator", "inject",
    "injection", "insert", "inspection", "inspector", "installer", "isolate", "isolation", "join",
    "lag", "latch", "lift", "limit", "limiting", "line", "liner", "list", "listed", "lock", "log",
    "login", "loop", "loose", "lose", "losing", "machine", "manage", "manager", "march", "match",
    "microphone", "mode", "mostly", "never", "noting", "object", "obvious", "often", "order",
    "panic", "pass", "patch", "phase", "photography", "phrase", "picture", "pole", "poll",
    "position", "positional", "positive", "powder", "prefer", "prober", "process", "processor",
    "professor", "program", "progress", "proper", "prove", "proven", "pulse", "quiet", "rated",
    "rather", "rating", "reach", "reader", "ready", "real", "really", "reap", "rebuilt", "receive",
    "receiver", "recent", "record", "recorder", "recreate", "recycle", "reduce", "reference",
    "refill", "refine", "refresh", "refuse", "regain", "regard", "register", "regulate",
    "regulation", "reheat", "relate", "related", "relating", "relocate", "rely", "remain",
    "remote", "render", "reorder", "repeat", "replay", "report", "reputable", "request", "require",
    "resell", "reseller", "reserve", "reshape", "resistance", "resize", "resolve", "resort",
    "respect", "responsible", "rest", "restart", "result", "retain", "return", "reuse", "reveal",
    "reverse", "review", "revolve", "rewrite", "rewrote", "ring", "rinse", "rise", "roll",
    "rotate", "rotating", "scope", "seat", "seen", "senior", "sentence", "sequence", "series",
    "session", "setting", "sewer", "shape", "ship", "shipping", "shoot", "shop", "shopping",
    "shorten", "shout", "shut", "simply", "sing", "skip", "slide", "slip", "slow", "snap", "sniff",
    "snippet", "soldier", "solve", "something", "source", "space", "spark", "speaker", "stage",
    "stall", "start", "state", "station", "stay", "steal", "steam", "step", "sting", "stop",
    "stopping", "storage", "stream", "string", "strip", "struck", "stuff", "submerge",
    "substitution", "suppress", "sure", "surge", "surprise", "swatch", "sweat", "sweep", "swim",
    "swing", "swipe", "switch", "system", "tack", "take", "talk", "target", "taste", "tempt",
    "terminal", "terminate", "test", "tester", "though", "thought", "through", "tight", "timer",
    "tired", "torch", "toss", "touch", "tower", "trace", "tracing", "traffic", "trail", "transfer",
    "transform", "translate", "transmit", "transport", "trench", "trial", "trick", "trust",
    "twice", "unless", "upset", "usual", "value", "verify", "very", "view", "visit", "wash",
    "waste", "watch", "water", "weigh", "while", "wipe", "wire", "wiring", "wish", "wishing",
    "within", "without", "wonder", "working", "worse", "worst", "wrong", "yellow", "yesterday",
];

/// Tells whether `word` is an ordinary word here.
pub fn is_word(word: &str) -> bool {
    let first = word.as_bytes().first();
    WORDS
        .iter()
        .filter(|w| w.as_bytes().first() == first)
        .any(|w| words::inflected(word, w) || words::stem(word) == words::stem(w))
}
