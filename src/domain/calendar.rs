//! Bench days: which day a review belongs to.
//!
//! A bench day begins when the shop's clock reaches the day start (05:00 unless the shop says
//! otherwise), so that work past midnight still counts to the evening before. Only the shop's zone
//! enters; where the machine stands or travels does not. Reading a clock is left to the caller.

use std::str::FromStr;

use chrono::DateTime;
use chrono::Days;
use chrono::NaiveDate;
use chrono::NaiveTime;
use chrono::TimeZone;
use chrono::Utc;
use chrono_tz::Tz;

/// Why a zone or a day start cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CalendarError {
    /// The IANA database has no such zone.
    #[error("{0:?} is no IANA time zone (such as Europe/Dublin)")]
    Zone(String),
    /// It is not a time of day.
    #[error("{0:?} is no time of day from 00:00 to 23:59, written HH:MM")]
    DayStart(String),
}

/// The shop's zone and the time at which its day begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Calendar {
    /// Where the shop is.
    pub zone: Tz,
    /// Local time at which a bench day begins.
    pub day_starts: NaiveTime,
}

impl Calendar {
    /// Makes a calendar from the texts of a shop file: an IANA zone, and `HH:MM`.
    pub fn parse(zone: &str, day_starts: &str) -> Result<Self, CalendarError> {
        match Tz::from_str(zone) {
            Ok(zone) => Ok(Self {
                zone,
                day_starts: parse_day_start(day_starts)?,
            }),
            Err(_only_says_invalid) => Err(CalendarError::Zone(zone.to_owned())),
        }
    }

    /// Returns the bench day that `at` belongs to.
    ///
    /// It is the local date, or the date before while the wall clock is short of the day start. A day
    /// that has begun stays begun when the clock is then put back over its start.
    pub fn bench_day(&self, at: DateTime<Utc>) -> NaiveDate {
        let local = at.with_timezone(&self.zone).naive_local();
        let date = local.date();
        let after = next_date(date);
        if self.has_begun(after, at) {
            after
        } else if self.day_starts <= local.time() || self.has_begun(date, at) {
            date
        } else {
            date.checked_sub_days(Days::new(1)).unwrap_or(date)
        }
    }

    /// Tells whether the wall clock had shown the start of `day` by then; false where it never does.
    fn has_begun(&self, day: NaiveDate, at: DateTime<Utc>) -> bool {
        self.zone
            .from_local_datetime(&day.and_time(self.day_starts))
            .earliest()
            .is_some_and(|start| start <= at)
    }
}

/// Returns the whole days from one bench day to another; 0 when `to` is the earlier one.
pub fn elapsed(from: NaiveDate, to: NaiveDate) -> u32 {
    u32::try_from((to - from).num_days()).unwrap_or(0)
}

/// Reads a time of day written `HH:MM`.
pub fn parse_day_start(text: &str) -> Result<NaiveTime, CalendarError> {
    let two_digits = |part: &str| -> Option<u32> {
        let plain = part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| part.parse().ok()).flatten()
    };
    text.split_once(':')
        .and_then(|(hour, minute)| {
            NaiveTime::from_hms_opt(two_digits(hour)?, two_digits(minute)?, 0)
        })
        .ok_or_else(|| CalendarError::DayStart(text.to_owned()))
}

fn next_date(date: NaiveDate) -> NaiveDate {
    date.checked_add_days(Days::new(1)).unwrap_or(date)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeDelta;
    use proptest::prelude::*;

    fn calendar(zone: &str) -> Calendar {
        Calendar::parse(zone, "05:00").expect("a known zone")
    }

    fn utc(text: &str) -> DateTime<Utc> {
        text.parse().expect("RFC 3339")
    }

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a date")
    }

    #[track_caller]
    fn check(zone: &str, cases: &[(&str, &str)]) {
        for (at, expected) in cases {
            assert_eq!(
                calendar(zone).bench_day(utc(at)),
                day(expected),
                "{zone} {at}"
            );
        }
    }

    /// Minutes of UTC that one bench day takes.
    fn minutes(zone: &str, of: &str) -> i64 {
        let calendar = calendar(zone);
        let around = utc(&format!("{of}T00:00:00Z")) - TimeDelta::days(2);
        (0..5 * 24 * 60)
            .filter(|m| calendar.bench_day(around + TimeDelta::minutes(*m)) == day(of))
            .count()
            .try_into()
            .expect("a few thousand")
    }

    #[test]
    fn a_day_begins_at_five_not_at_midnight() {
        // Dublin keeps UTC in January.
        check(
            "Europe/Dublin",
            &[
                ("2026-01-15T00:00:00Z", "2026-01-14"),
                ("2026-01-15T04:59:59.999Z", "2026-01-14"),
                ("2026-01-15T05:00:00Z", "2026-01-15"),
                ("2026-01-15T23:59:59Z", "2026-01-15"),
                ("2026-01-16T04:59:00Z", "2026-01-15"),
            ],
        );
    }

    #[test]
    fn the_day_follows_the_wall_clock_through_daylight_saving() {
        // IANA: Dublin goes to UTC+1 on 2026-03-29 at 01:00 UTC and back on 2026-10-25 at 01:00 UTC;
        // New York to UTC-4 on 2026-03-08 at 07:00 UTC, back on 2026-11-01 at 06:00 UTC.
        check(
            "Europe/Dublin",
            &[
                ("2026-03-28T04:59:00Z", "2026-03-27"),
                ("2026-03-29T03:59:00Z", "2026-03-28"),
                ("2026-03-29T04:00:00Z", "2026-03-29"),
                ("2026-10-25T04:59:00Z", "2026-10-24"),
                ("2026-10-25T05:00:00Z", "2026-10-25"),
                ("2026-10-24T04:00:00Z", "2026-10-24"),
            ],
        );
        check(
            "America/New_York",
            &[
                ("2026-03-08T08:59:00Z", "2026-03-07"),
                ("2026-03-08T09:00:00Z", "2026-03-08"),
                ("2026-11-01T09:59:00Z", "2026-10-31"),
                ("2026-11-01T10:00:00Z", "2026-11-01"),
            ],
        );
        assert_eq!(minutes("Europe/Dublin", "2026-03-28"), 23 * 60);
        assert_eq!(minutes("Europe/Dublin", "2026-10-24"), 25 * 60);
        assert_eq!(minutes("Europe/Dublin", "2026-06-01"), 24 * 60);
        assert_eq!(minutes("America/New_York", "2026-03-07"), 23 * 60);
        assert_eq!(minutes("America/New_York", "2026-10-31"), 25 * 60);
    }

    #[test]
    fn half_an_hour_of_daylight_saving_is_followed_too() {
        // IANA: Lord Howe goes from UTC+11 to +10:30 on 2026-04-05 at 02:00 and back on 2026-10-04.
        check(
            "Australia/Lord_Howe",
            &[
                ("2026-04-04T18:29:00Z", "2026-04-04"),
                ("2026-04-04T18:30:00Z", "2026-04-05"),
                ("2026-10-03T17:59:00Z", "2026-10-03"),
                ("2026-10-03T18:00:00Z", "2026-10-04"),
            ],
        );
        assert_eq!(minutes("Australia/Lord_Howe", "2026-04-04"), 24 * 60 + 30);
        assert_eq!(minutes("Australia/Lord_Howe", "2026-10-03"), 24 * 60 - 30);
    }

    #[test]
    fn a_date_that_the_zone_skipped_holds_only_the_night_after_it() {
        // IANA: Apia went from 2011-12-29 24:00 (UTC-10) straight to 2011-12-31 00:00 (UTC+14).
        check(
            "Pacific/Apia",
            &[
                ("2011-12-30T09:59:59Z", "2011-12-29"),
                ("2011-12-30T10:00:00Z", "2011-12-30"),
                ("2011-12-30T14:59:59Z", "2011-12-30"),
                ("2011-12-30T15:00:00Z", "2011-12-31"),
            ],
        );
        assert_eq!(minutes("Pacific/Apia", "2011-12-30"), 5 * 60);
    }

    #[test]
    fn a_day_start_inside_the_lost_or_repeated_hour_happens_once() {
        let dublin = Calendar::parse("Europe/Dublin", "01:30").expect("known");
        // Spring: the clock jumps from 01:00 to 02:00, which is past the start.
        assert_eq!(
            dublin.bench_day(utc("2026-03-29T00:59:59Z")),
            day("2026-03-28")
        );
        assert_eq!(
            dublin.bench_day(utc("2026-03-29T01:00:00Z")),
            day("2026-03-29")
        );
        // Autumn: 01:30 is shown at 00:30 and at 01:30 UTC; the day begins at the first.
        for (at, expected) in [
            ("2026-10-25T00:29:59Z", "2026-10-24"),
            ("2026-10-25T00:30:00Z", "2026-10-25"),
            ("2026-10-25T01:10:00Z", "2026-10-25"),
            ("2026-10-25T01:30:00Z", "2026-10-25"),
        ] {
            assert_eq!(dublin.bench_day(utc(at)), day(expected), "{at}");
        }
        // Havana puts its clock back from 01:00 to 00:00 on 2026-11-01: midnight comes twice.
        let havana = Calendar::parse("America/Havana", "00:00").expect("known");
        assert_eq!(
            havana.bench_day(utc("2026-11-01T03:59:59Z")),
            day("2026-10-31")
        );
        assert_eq!(
            havana.bench_day(utc("2026-11-01T05:10:00Z")),
            day("2026-11-01")
        );
    }

    #[test]
    fn the_leap_day_is_a_day() {
        check(
            "Europe/Dublin",
            &[
                ("2028-02-29T04:59:00Z", "2028-02-28"),
                ("2028-02-29T05:00:00Z", "2028-02-29"),
                ("2028-03-01T04:59:00Z", "2028-02-29"),
                ("2028-03-01T05:00:00Z", "2028-03-01"),
            ],
        );
        assert_eq!(elapsed(day("2028-02-28"), day("2028-03-01")), 2);
        assert_eq!(elapsed(day("2027-02-28"), day("2027-03-01")), 1);
    }

    #[test]
    fn a_person_who_travels_stays_on_the_shops_day() {
        // The same instant written on a laptop in Tokyo, in Honolulu and at the shop.
        let stamps = [
            "2026-07-02T06:30:00+09:00",
            "2026-07-01T11:30:00-10:00",
            "2026-07-01T22:30:00+01:00",
        ];
        for stamp in stamps {
            assert_eq!(
                calendar("Europe/Dublin").bench_day(utc(stamp)),
                day("2026-07-01"),
                "{stamp}"
            );
        }
    }

    #[test]
    fn a_clock_set_back_gives_no_negative_days_and_one_set_ahead_is_counted_as_it_says() {
        let dublin = calendar("Europe/Dublin");
        let real = dublin.bench_day(utc("2026-05-10T09:00:00Z"));
        let back = dublin.bench_day(utc("2024-05-10T09:00:00Z"));
        let ahead = dublin.bench_day(utc("2027-05-10T09:00:00Z"));
        assert_eq!(elapsed(real, back), 0);
        assert_eq!(elapsed(real, real), 0);
        assert_eq!(elapsed(real, ahead), 365);
        assert_eq!(elapsed(ahead, real), 0);
    }

    #[test]
    fn only_a_plain_time_of_day_is_a_day_start() {
        assert_eq!(
            parse_day_start("05:00"),
            Ok(NaiveTime::MIN + TimeDelta::hours(5))
        );
        assert_eq!(
            parse_day_start("23:59"),
            Ok(NaiveTime::MIN + TimeDelta::minutes(23 * 60 + 59))
        );
        for bad in [
            "",
            "5:00",
            "05:0",
            "0500",
            "24:00",
            "05:60",
            "05:00:00",
            "+5:00",
            " 05:00",
            "٠٥:٠٠",
        ] {
            assert!(parse_day_start(bad).is_err(), "{bad}");
        }
        let refused = Calendar::parse("Dublin", "05:00").expect_err("not an IANA name");
        assert_eq!(
            refused.to_string(),
            "\"Dublin\" is no IANA time zone (such as Europe/Dublin)"
        );
    }

    proptest! {
        #[test]
        fn a_later_instant_is_never_on_an_earlier_day(
            zone in proptest::sample::select(&[
                "Europe/Dublin", "America/New_York", "Australia/Lord_Howe", "Pacific/Apia",
                "America/Havana", "Asia/Kathmandu", "Antarctica/Troll", "America/St_Johns",
            ][..]),
            // Any second of 2006 to early 2036.
            at in 1_136_073_600i64..2_085_000_000,
            later in 0i64..100_000,
            start in 0u32..24 * 60,
        ) {
            let day_starts = NaiveTime::from_hms_opt(start / 60, start % 60, 0).expect("in a day");
            let calendar = Calendar { zone: zone.parse().expect("known"), day_starts };
            let at = DateTime::from_timestamp(at, 0).expect("in range");
            let day = calendar.bench_day(at);
            let then = calendar.bench_day(at + TimeDelta::seconds(later));
            prop_assert!(day <= then);
            prop_assert!(i64::from(elapsed(day, then)) <= later / 86_400 + 2);
        }
    }

    #[test]
    fn days_never_run_backwards_over_the_changes_of_2026() {
        for zone in [
            "Europe/Dublin",
            "America/New_York",
            "Australia/Lord_Howe",
            "America/Havana",
            "America/St_Johns",
            "Antarctica/Troll",
        ] {
            for start in [
                "00:00", "00:01", "00:30", "01:00", "01:30", "01:45", "02:00", "02:30",
            ] {
                let calendar = Calendar::parse(zone, start).expect("known");
                let begin = utc("2026-01-01T00:00:00Z");
                let days: Vec<NaiveDate> = (0..365 * 24 * 4)
                    .map(|quarter| calendar.bench_day(begin + TimeDelta::minutes(15 * quarter)))
                    .collect();
                assert!(days.is_sorted(), "{zone} {start}");
                let wide = days.windows(2).all(|pair| elapsed(pair[0], pair[1]) <= 1);
                assert!(wide, "{zone} {start}");
            }
        }
    }
}
