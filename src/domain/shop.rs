//! A shop's settings and its people, as values.

use std::collections::BTreeMap;

use chrono::NaiveTime;
use chrono::TimeDelta;
use chrono_tz::Tz;

use crate::domain::circuit::Circuits;
use crate::domain::circuit::FamilyOverride;
use crate::domain::goal::Goal;
use crate::domain::queue::aim::Aim;

/// A board as the shop lists it; its parts and good readings are in [`crate::domain::job::Board`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardEntry {
    /// Id used in jobs.
    pub id: String,
    /// Name a person reads.
    pub name: String,
    /// Kind of equipment.
    pub kind: String,
    /// Known revisions.
    pub revisions: Vec<String>,
    /// Hazards that every card of the board carries.
    pub safety: Vec<String>,
}

/// What `shop.json` says.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// Name a person reads.
    pub name: String,
    /// Time zone of the bench days.
    pub zone: Tz,
    /// When a bench day starts.
    pub day_starts: NaiveTime,
    /// After this many days without a return a repair counts as held.
    pub warranty_days: u32,
    /// Recall chance that forecasts are made for.
    pub target_recall: f64,
    /// What everyone's day aims at, unless the person says otherwise.
    pub aim: Aim,
    /// What an hour at the bench costs.
    pub rate_per_hour: Option<f64>,
    /// Boards it repairs.
    pub boards: Vec<BoardEntry>,
    /// What it changes about the circuit families.
    pub families: Vec<FamilyOverride>,
    /// Its families replace the built-in ones.
    pub families_only: bool,
    /// Its words for parts and functions: what is typed, what it means.
    pub synonyms: BTreeMap<String, String>,
    /// Its words in sheets, by table (`headers`, `acts`, `outcomes`, …): what is written, what it means.
    pub sheet_words: BTreeMap<String, BTreeMap<String, String>>,
    /// Key of the marks that are made of serials; made once, 32 hexadecimal digits.
    pub unit_key: Option<String>,
    /// Minutes that a measurement takes, by kind of finding.
    pub minutes: BTreeMap<String, f64>,
    /// Boards per week that come in, by board.
    pub incoming: BTreeMap<String, f64>,
    /// Cards that no lead signed are drilled too, and say so.
    pub drill_unsigned: bool,
}

impl Shop {
    /// Returns a shop called `name` with nothing else said.
    pub fn named(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            zone: Tz::UTC,
            day_starts: NaiveTime::MIN + TimeDelta::hours(5),
            warranty_days: 90,
            target_recall: 0.9,
            aim: Aim::default(),
            rate_per_hour: None,
            boards: Vec::new(),
            families: Vec::new(),
            families_only: false,
            synonyms: BTreeMap::new(),
            sheet_words: BTreeMap::new(),
            unit_key: None,
            minutes: BTreeMap::new(),
            incoming: BTreeMap::new(),
            drill_unsigned: true,
        }
    }

    /// Returns its circuit families.
    pub fn circuits(&self) -> Circuits {
        Circuits::with_shop(&self.families, self.families_only)
    }
}

/// What a person does in the shop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Post {
    /// Learns.
    Trainee,
    /// Repairs.
    Technician,
    /// Answers for the cards.
    Lead,
}

impl Post {
    /// Every post.
    pub const ALL: [Self; 3] = [Self::Trainee, Self::Technician, Self::Lead];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Trainee => "trainee",
            Self::Technician => "technician",
            Self::Lead => "lead",
        }
    }

    /// Returns the post a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|p| p.word() == word)
    }
}

/// Someone who drills.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Person {
    /// Folder name.
    pub id: String,
    /// Initials.
    pub initials: String,
    /// Post.
    pub post: Post,
    /// What the person drills when nothing is asked for in particular.
    pub assigned: Assigned,
    /// What the person's day aims at; none for what the shop says.
    pub aim: Option<Aim>,
    /// Fixes stand to choose from on cards not met yet or missed the last time.
    pub options: bool,
    /// A day that the person wants to be ready by.
    pub goal: Option<Goal>,
}

/// What a person drills when no deck, board or family is asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Assigned {
    /// Decks by file name.
    pub decks: Vec<String>,
    /// Boards by id.
    pub boards: Vec<String>,
    /// Circuit families by id.
    pub families: Vec<String>,
}

impl Assigned {
    /// Tells whether nothing in particular is assigned: the shop's usual mix is drilled.
    pub fn is_usual_mix(&self) -> bool {
        self.decks.is_empty() && self.boards.is_empty() && self.families.is_empty()
    }
}
