//! What cards are made from, and what comes of it.
//!
//! Only the shapes: the jobs, boards and rules of a shop that the builder is given, and the cards that it
//! gives back. How they are made begins in [`crate::domain::generate::build`].

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::domain::card::Card;
use crate::domain::circuit::Circuits;
use crate::domain::job::Board;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::lineage::Lineage;

/// What a card's cautions are looked up by.
#[derive(Clone, Debug)]
pub struct Hazards<'a> {
    /// The board, where the shop describes it.
    pub board: Option<&'a Board>,
    /// The card's circuit.
    pub family: &'a str,
    /// Customer's words on the card.
    pub complaint: &'a [String],
    /// Environment words of all evidence jobs.
    pub environment: &'a [String],
    /// Acts of all right answers.
    pub acts: &'a [String],
}

/// Everything cards are made from.
pub struct BuildInput<'a> {
    /// Closed jobs, in any order.
    pub jobs: &'a [Job],
    /// Boards the shop describes; a job's board need not be among them.
    pub boards: &'a [Board],
    /// The shop's circuits: one that is not among them is reported on the card.
    pub circuits: &'a Circuits,
    /// The day it is.
    pub as_of: NaiveDate,
    /// Days after which an unknown outcome counts as held.
    pub warranty_days: u32,
    /// What an hour at the bench costs, in the money of the jobs' values.
    pub rate_per_hour: Option<f64>,
    /// Minutes that a measurement takes, by kind of finding, as the shop says.
    pub minutes: &'a BTreeMap<String, f64>,
    /// Ids of job lines that contradict another line.
    pub contradictory: &'a BTreeSet<String>,
    /// Tells whether a recorded fix is unsafe in its job: it is then never an answer. Of the job it looks
    /// at the board and the actions alone.
    pub unsafe_fix: &'a (dyn Fn(&Fix, &Job) -> bool + Sync),
    /// Returns the hazards whose caution stands first on the card.
    pub cautions: &'a (dyn Fn(&Hazards<'_>) -> Vec<String> + Sync),
    /// Which cards leads merged and split.
    pub lineage: &'a Lineage,
}

/// A fix without a card.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Skipped {
    /// Board.
    pub board: String,
    /// Board, fix and variant.
    pub what: String,
    /// Why there is no card.
    pub why: String,
}

/// Cards, and what got none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Built {
    /// By board, fix, variant.
    pub cards: Vec<Card>,
    /// In the same order.
    pub skipped: Vec<Skipped>,
    /// What a lead should know of the whole deck.
    pub warn: Vec<String>,
}

/// What the cards of one board need to know of the jobs of all boards.
pub struct Outside<'a> {
    /// Tells whether the repair is known to have held.
    pub held: &'a (dyn Fn(&Job) -> bool + Sync),
    /// The warning of an archive that holds mostly what could be mended.
    pub survivors: Option<&'a str>,
}
