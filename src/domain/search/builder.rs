//! Makes an index: what of a job or a card is searched for.

use std::collections::HashMap;

use crate::domain::card::Card;
use crate::domain::generate::band;
use crate::domain::generate::tier;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::judge::tokens::Known;
use crate::domain::judge::words::Synonyms;
use crate::domain::search::index::Atom;
use crate::domain::search::index::Document;
use crate::domain::search::index::Index;
use crate::domain::search::index::Reading;
use crate::domain::search::index::bit;
use crate::domain::search::index::number_term;
use crate::domain::search::readings;
use crate::domain::search::terms::Vocabulary;
use crate::domain::wording;

/// What makes two findings the same but for their exact numbers.
type AtomKey = (
    Option<usize>,
    FindingKind,
    String,
    Option<String>,
    Option<String>,
    bool,
    Option<u64>,
    String,
    Option<String>,
);

/// An index that is being made.
pub(super) struct Builder {
    index: Index,
    board_at: HashMap<String, usize>,
    atom_at: HashMap<AtomKey, u32>,
    /// Terms by text, since the same words stand in many jobs.
    cut: HashMap<String, Vec<u32>>,
    /// Whether a word may be cut off from its neighbours.
    loose: HashMap<String, bool>,
    terms: Vec<u32>,
    first_reading: usize,
    kinds: u8,
}

/// Longest text (bytes) whose terms are remembered whole; longer ones hardly ever come twice, so they
/// are cut into pieces that do.
const REMEMBERED: usize = 16;

impl Builder {
    pub(super) fn new(boards: &[Board], words: &Synonyms) -> Self {
        let mut known = Known::default();
        for board in boards {
            known.add_name(&board.name);
            for designator in board.parts.keys() {
                known.add_part(designator);
            }
        }
        let by_id = |(i, board): (usize, &Board)| (board.id.clone(), i);
        Self {
            board_at: boards.iter().enumerate().map(by_id).collect(),
            index: Index {
                vocabulary: Vocabulary::new(words, known),
                boards: boards.to_vec(),
                ..Index::default()
            },
            atom_at: HashMap::new(),
            cut: HashMap::new(),
            loose: HashMap::new(),
            terms: Vec::new(),
            first_reading: 0,
            kinds: 0,
        }
    }

    pub(super) fn finish(self) -> Index {
        let mut index = self.index;
        for bands in index.places.values_mut() {
            bands.sort();
            bands.dedup();
        }
        index
    }

    pub(super) fn add_job(&mut self, job: &Job, note: &str) {
        let board = self.board_at.get(&job.board).copied();
        for word in &job.complaint {
            self.say_complaint(word);
        }
        for finding in &job.findings {
            self.add_finding(finding, board);
            self.say(finding.raw.as_deref().unwrap_or_default());
        }
        for action in &job.actions {
            self.say(&action.act);
            self.say_part(&action.part, board);
        }
        for word in job
            .environment
            .iter()
            .chain(&job.family)
            .chain(&job.contributing)
        {
            self.say(word);
        }
        match job.outcome {
            Outcome::BouncedSameFault | Outcome::BouncedOtherFault => {
                self.say("bounced came back");
                self.say(job.bounce_cause.map_or("", |c| c.word()));
            }
            Outcome::Held => self.say("held"),
            Outcome::NoFix => self.say("no-fix"),
            Outcome::UnknownSoFar => {}
        }
        self.say(job.no_fix_reason.as_deref().unwrap_or_default());
        self.say(job.proof.as_deref().unwrap_or_default());
        self.say(note);
        self.close(Document {
            board: job.board.clone(),
            families: job
                .family
                .iter()
                .chain(&job.contributing)
                .cloned()
                .collect(),
            outcome: Some(job.outcome),
            kinds: 0,
            day: Some(job.closed_on),
            number: job.job.clone(),
            readings: 0..0,
        });
    }

    /// Takes a complaint by its word of the vocabulary and as screens show it, since people type what
    /// they read: "does not charge" is `no-charge`.
    fn say_complaint(&mut self, word: &String) {
        self.say(word);
        let shown = wording::complaint_text(std::slice::from_ref(word));
        if shown != word.replace('-', " ") {
            self.say(&shown);
        }
    }

    pub(super) fn add_card(&mut self, card: &Card) {
        let board = self.board_at.get(&card.board).copied();
        let sides = card.sides.iter();
        let complaint = card.complaint.iter();
        for word in complaint.chain(sides.clone().flat_map(|s| &s.complaint)) {
            self.say_complaint(word);
        }
        let of_sides = sides
            .clone()
            .flat_map(|s| s.front.iter().chain(&s.separates));
        for finding in card.front.iter().chain(&card.held_back).chain(of_sides) {
            self.add_finding(finding, board);
        }
        for answer in card.answers.iter().chain(sides.map(|s| &s.answer)) {
            for step in &answer.steps {
                self.say(&step.act);
                self.say_part(&step.part, board);
            }
        }
        self.say(&card.stem);
        for point in &card.points {
            self.say(&point.say);
        }
        for family in std::iter::once(&card.family).chain(&card.contributing) {
            self.say(family);
        }
        self.say(card.kind.word());
        self.close(Document {
            board: card.board.clone(),
            families: std::iter::once(&card.family)
                .chain(&card.contributing)
                .cloned()
                .collect(),
            outcome: None,
            kinds: 0,
            day: card.last,
            number: card.id.clone(),
            readings: 0..0,
        });
    }

    fn close(&mut self, document: Document) {
        let number = self.index.ranking.intern(&number_term(&document.number));
        self.terms.push(number);
        self.index.ranking.add(&mut self.terms);
        self.terms.clear();
        let end = self.index.readings.len();
        self.index.documents.push(Document {
            kinds: self.kinds,
            readings: self.first_reading..end,
            ..document
        });
        self.first_reading = end;
        self.kinds = 0;
    }

    fn say_part(&mut self, part: &str, board: Option<usize>) {
        self.say(part);
        let name = board
            .and_then(|at| self.index.boards[at].parts.get(part))
            .map(|p| p.name.clone());
        self.say(name.as_deref().unwrap_or_default());
    }

    /// Adds the terms of `text` to the document under way.
    fn say(&mut self, text: &str) {
        if text.len() <= REMEMBERED {
            return self.say_piece(text);
        }
        let pieces = self.index.vocabulary.pieces(text, &mut self.loose);
        for piece in pieces {
            self.say_piece(piece);
        }
    }

    fn say_piece(&mut self, text: &str) {
        if text.is_empty() {
            return;
        }
        if let Some(known) = self.cut.get(text) {
            self.terms.extend(known);
            return;
        }
        let terms = self.index.vocabulary.of_document(text);
        let ids: Vec<u32> = terms
            .iter()
            .map(|term| self.index.ranking.intern(term))
            .collect();
        self.terms.extend(&ids);
        if text.len() <= REMEMBERED {
            self.cut.insert(text.to_owned(), ids);
        }
    }

    fn add_finding(&mut self, finding: &Finding, board: Option<usize>) {
        if !tier::is_before_repair(finding) {
            return;
        }
        self.kinds |= bit(finding.kind);
        self.say(&finding.place);
        self.say(finding.code.as_deref().unwrap_or_default());
        if finding.kind == FindingKind::Current {
            self.say("draw");
        }
        let of_board = board.map(|at| &self.index.boards[at]);
        let Some(band) = band::band(finding, of_board) else {
            return;
        };
        if finding.code.is_none() && band.bytes().all(|b| b.is_ascii_lowercase() || b == b'-') {
            self.say(&band);
        }
        let mut numbers_alone = finding.clone();
        numbers_alone.code = None;
        let number_band = band::band(&numbers_alone, self.board(board));
        let span = match (finding.got, finding.low, finding.high) {
            (_, Some(low), Some(high)) => Some((low, high)),
            (Some(got), _, _) => Some((got, got)),
            _ => None,
        };
        let atom = self.atom(finding, board, band, number_band);
        self.index.readings.push(Reading { atom, span });
    }

    fn board(&self, at: Option<usize>) -> Option<&Board> {
        at.map(|at| &self.index.boards[at])
    }

    fn atom(
        &mut self,
        finding: &Finding,
        board: Option<usize>,
        band: String,
        number_band: Option<String>,
    ) -> u32 {
        let doc = u32::try_from(self.index.documents.len()).unwrap_or(u32::MAX);
        let key = (
            board,
            finding.kind,
            finding.place.clone(),
            finding.state.clone(),
            finding.polarity.clone(),
            finding.in_hertz,
            finding.good.map(f64::to_bits),
            band,
            number_band,
        );
        if let Some(at) = self.atom_at.get(&key) {
            let docs = &mut self.index.atoms[*at as usize].docs;
            if docs.last() != Some(&doc) {
                docs.push(doc);
            }
            return *at;
        }
        let at = u32::try_from(self.index.atoms.len()).unwrap_or(u32::MAX);
        let mut shape = Finding::new(finding.kind, &finding.place);
        shape.state.clone_from(&finding.state);
        shape.polarity.clone_from(&finding.polarity);
        shape.in_hertz = finding.in_hertz;
        shape.good = finding.good;
        let place = readings::place(&finding.place);
        if !place.is_empty() {
            let bands = self.index.places.entry(place.clone()).or_default();
            bands.push((finding.kind, key.7.clone()));
        }
        self.index.atoms.push(Atom {
            shape,
            board,
            place,
            band: key.7.clone(),
            number_band: key.8.clone(),
            docs: vec![doc],
        });
        self.atom_at.insert(key, at);
        at
    }
}
