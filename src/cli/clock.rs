//! The clock of a command: the computer's, or the one given with `--as-of`.
#![expect(
    clippy::disallowed_methods,
    reason = "the one place where a command reads the clock"
)]

use chrono::DateTime;
use chrono::TimeDelta;
use chrono::Utc;

/// Tells the time.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    fixed: Option<DateTime<Utc>>,
}

impl Clock {
    /// Returns a clock that starts at `as_of`, or the computer's own.
    pub fn new(as_of: Option<DateTime<Utc>>) -> Self {
        Self { fixed: as_of }
    }

    /// Returns the time.
    pub fn now(&self) -> DateTime<Utc> {
        self.fixed.unwrap_or_else(Utc::now)
    }

    /// Returns how many milliseconds an answer took: those given, else those that went by since
    /// `asked_at`. A clock that was set moves on by what was given.
    pub fn took(&mut self, asked_at: DateTime<Utc>, given: Option<u64>) -> u64 {
        /// An answer that took longer than this was a phone call.
        const LONGEST_MS: u64 = 600_000;
        if let Some(fixed) = &mut self.fixed {
            let ms = given.unwrap_or(0);
            let step = TimeDelta::milliseconds(i64::try_from(ms).unwrap_or(0));
            *fixed = fixed.checked_add_signed(step).unwrap_or(*fixed);
            return ms;
        }
        given.unwrap_or_else(|| {
            let passed = (self.now() - asked_at).num_milliseconds().max(0);
            passed.unsigned_abs().min(LONGEST_MS)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_was_set_moves_only_by_what_is_given() {
        let start = "2026-04-02T07:00:00Z".parse().unwrap();
        let mut clock = Clock::new(Some(start));
        assert_eq!(clock.took(start, Some(3100)), 3100);
        assert_eq!(clock.took(start, None), 0);
        assert_eq!(clock.now() - start, TimeDelta::milliseconds(3100));
    }
}
