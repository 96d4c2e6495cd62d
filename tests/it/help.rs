//! Every command's `--help`, as a person reads it in a window of 100 columns.
//!
//! The snapshots are read whole when they change: an imperative first line without a full stop, no
//! word that only the program's makers use.

use clap::Command;
use clap::CommandFactory;

use benchlore::cli::Arguments;

/// Returns the help of `command` and of everything below it, with the words that call it.
fn pages(command: &mut Command, called: &str, found: &mut Vec<(String, String)>) {
    let help = command.render_long_help().to_string();
    found.push((called.to_owned(), help));
    for below in command.get_subcommands_mut() {
        let called = format!("{called} {}", below.get_name());
        // The help of the help command is the argument parser's own.
        if below.get_name() != "help" {
            pages(below, &called, found);
        }
    }
}

fn all_pages() -> Vec<(String, String)> {
    let mut command = Arguments::command().term_width(100);
    command.build();
    let mut found = Vec::new();
    pages(&mut command, "benchlore", &mut found);
    found
}

#[test]
fn the_help_of_every_command_reads_as_it_did() {
    let pages = all_pages();
    assert!(14 < pages.len(), "only {} commands", pages.len());
    for (called, help) in pages {
        insta::assert_snapshot!(called.replace(' ', "_"), help);
    }
}

#[test]
fn first_lines_of_help_fit_a_line_and_end_without_a_full_stop() {
    for (called, help) in all_pages() {
        let first = help.lines().next().expect("a line");
        assert!(
            !first.is_empty() && !first.ends_with('.'),
            "{called}: {first}"
        );
        assert!(first.chars().count() <= 78, "{called}: {first}");
        assert!(
            help.lines().all(|line| line.chars().count() <= 100),
            "{called}:\n{help}"
        );
    }
}

#[test]
fn every_option_says_what_it_does() {
    fn check(command: &Command) {
        for arg in command.get_arguments() {
            let says = arg.get_help().map(ToString::to_string).unwrap_or_default();
            let name = format!("{} {}", command.get_name(), arg.get_id());
            assert!(says.starts_with(char::is_uppercase), "{name}: {says:?}");
            assert!(!says.ends_with('.'), "{name}: {says:?}");
        }
        command.get_subcommands().for_each(check);
    }
    check(&Arguments::command());
}
