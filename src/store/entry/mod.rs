//! Files of jobs that are being entered: the form under way, and jobs still on a bench.
//!
//! Both lie in intake/, one file a bench; neither ever holds a serial.

pub mod form_file;
pub mod open_log;
