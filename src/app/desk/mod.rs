//! The lead's desk: which cards want a look, each as a trainee sees it, and what a lead does to it.

pub mod view;
