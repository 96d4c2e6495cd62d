//! One function a job: load, ask the domain, append. Screens and commands both call these.

pub mod archive;
pub mod backup;
pub mod brief;
pub mod build_index;
pub mod deck_print;
pub mod demo;
pub mod desk;
pub mod entry;
pub mod face;
pub mod fit;
pub mod fit_log;
pub mod fit_show;
pub mod forget;
pub mod gap_lines;
pub mod gaps;
pub mod home;
pub mod inspect;
pub mod intake;
pub mod jobs;
pub mod lend;
pub mod lint;
pub mod people;
pub mod plan;
pub mod plan_lines;
pub mod practice;
pub mod ready_by;
pub mod rebuild;
#[cfg(test)]
mod rebuild_laws;
pub mod record;
pub mod set_up;
pub mod shipped;
pub mod trace;
pub mod view;
mod withdrawn;
pub mod workbench;
