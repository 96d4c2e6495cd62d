//! stub
use crate::domain::job::*;
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnsafeAct { pub what: String, pub why: String, pub caution: &'static str }
pub fn unsafe_fix(_: &Fix, _: &Job, _: Option<&Board>) -> Option<UnsafeAct> { None }
pub fn unsafe_in_text(_: &str, _: Option<&Board>, _: &crate::domain::judge::words::Synonyms) -> Option<UnsafeAct> { None }
