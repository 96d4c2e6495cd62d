//! The kinds of cards, a builder each; none of them names another.
//!
//! [`fix`]: what is shown, which fix was it? [`expect`]: a fix is given, what pointed to it? [`contrast`]: two
//! boards that look alike, what tells them apart? [`next`]: several suspects, which measurement now? [`stop`]:
//! go on, or call it? [`missed`]: it came back, what was missed? [`across`]: the board is not known, which
//! circuit, what first? What several kinds need is in the rooms before.

pub mod across;
pub mod contrast;
pub mod expect;
pub mod fix;
pub mod missed;
pub mod next;
pub mod stop;
