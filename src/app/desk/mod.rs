//! The lead's desk: which cards want a look, each as a trainee sees it, and what a lead does to it.

pub mod act;
mod gather;
pub mod list;
pub mod page;
pub mod undo;
pub mod view;
pub mod words;
