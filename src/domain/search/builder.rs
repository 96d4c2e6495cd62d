//! Makes an index: what of a job or a card is searched for.

use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::collections::HashMap;

use chrono::NaiveDate;

use crate::domain::card::Card;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::tier;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Outcome;
use crate::domain::judge::read::words;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::search::atoms::Atom;
use crate::domain::search::atoms::Atoms;
use crate::domain::search::bm25::Ranking;
use crate::domain::search::index::Index;
use crate::domain::search::ranked::Reading;
use crate::domain::search::readings;
use crate::domain::search::terms;
use crate::domain::search::terms::Vocabulary;
use crate::domain::wording;

/// An index that is being made.
pub struct Builder {
    vocabulary: Vocabulary,
    boards: Vec<Board>,
    ranking: Ranking,
    atoms: Atoms,
    readings: Vec<Vec<Reading>>,
    /// What decides among documents of one score.
    order: Vec<(Option<NaiveDate>, String)>,
    board_at: HashMap<String, usize>,
    atom_at: HashMap<Atom, u32>,
    /// Jobs are found by the name of their board as well.
    names_boards: bool,
    /// Terms by text, since the same words stand in many jobs.
    cut: HashMap<String, Vec<u32>>,
    /// Whether a word may be cut off from its neighbours.
    loose: HashMap<String, bool>,
    terms: Vec<u32>,
}

/// Longest text (bytes) whose terms are remembered whole; longer ones hardly ever come twice, so they
/// are cut into pieces that do.
const REMEMBERED: usize = 16;

impl Builder {
    /// Returns an index of nothing, for a shop with these boards and words.
    pub fn new(boards: &[Board], synonyms: &Synonyms) -> Self {
        let by_id = |(i, board): (usize, &Board)| (board.id.clone(), i);
        Self {
            board_at: boards.iter().enumerate().map(by_id).collect(),
            vocabulary: Vocabulary::of_shop(boards, synonyms),
            boards: boards.to_vec(),
            ranking: Ranking::default(),
            atoms: Atoms::default(),
            readings: Vec::new(),
            order: Vec::new(),
            atom_at: HashMap::new(),
            names_boards: false,
            cut: HashMap::new(),
            loose: HashMap::new(),
            terms: Vec::new(),
        }
    }

    /// Finds jobs by the name of their board as well, for an archive of many boards.
    #[must_use]
    pub fn naming_boards(mut self) -> Self {
        self.names_boards = true;
        self
    }

    /// Returns the index over what was added, numbered in that order.
    pub fn finish(self) -> Index {
        let all: Vec<Option<u32>> = (0..).take(self.order.len()).map(Some).collect();
        self.finish_as(&all)
    }

    /// Returns the index with new numbers: `to[i]` is the number of what was added as the `i`th,
    /// none where it is left out. The new numbers are those from 0 up, each once.
    pub fn finish_as(self, to: &[Option<u32>]) -> Index {
        let Self {
            mut ranking,
            atoms,
            mut readings,
            order,
            ..
        } = self;
        drop((self.atom_at, self.cut, self.loose));
        ranking.renumber(to);
        for list in &mut readings {
            let kept = list.iter().filter_map(|one| {
                let doc = to[one.doc as usize]?;
                Some(Reading { doc, ..*one })
            });
            *list = kept.collect();
            list.sort_by_key(|reading| reading.doc);
        }
        let mut ranks = vec![0; ranking.len()];
        let mut by_rank: Vec<(u32, &(Option<NaiveDate>, String))> = to
            .iter()
            .zip(&order)
            .filter_map(|(to, order)| Some(((*to)?, order)))
            .collect();
        by_rank.sort_unstable_by_key(|(doc, (day, number))| (Reverse(*day), number, *doc));
        for (rank, (doc, _)) in (0..).zip(by_rank) {
            ranks[doc as usize] = rank;
        }
        let mut at: Vec<usize> = (0..atoms.list.len()).collect();
        at.retain(|at| !readings[*at].is_empty());
        at.sort_by(|a, b| atoms.key(&atoms.list[*a]).cmp(&atoms.key(&atoms.list[*b])));
        Index {
            vocabulary: self.vocabulary,
            boards: self.boards,
            ranking,
            ranks,
            readings: at
                .iter()
                .map(|at| std::mem::take(&mut readings[*at]))
                .collect(),
            atoms: Atoms {
                list: at.iter().map(|at| atoms.list[*at]).collect(),
                texts: atoms.texts,
            },
        }
    }

    /// Adds a job with its note.
    pub fn add_job(&mut self, job: &Job, note: &str) {
        let board = self.board_at.get(&job.board).copied();
        if self.names_boards {
            self.say_board(&job.board, board);
        }
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
        self.ranking.mark(&terms::outcome_term(job.outcome));
        let families = job.family.iter().chain(&job.contributing);
        self.close(&job.board, families, Some(job.closed_on), &job.job);
    }

    /// Says each word of a board's id and name once, but none that says what a part does: the shore
    /// charger is no word for a charger on it.
    fn say_board(&mut self, id: &str, board: Option<usize>) {
        let name = self.board(board).map_or("", |board| &board.name);
        let text = format!("{id} {name}").to_lowercase();
        let words = text.split(|c: char| !c.is_alphanumeric());
        let told: BTreeSet<&str> = words.filter(|word| !words::is_trade(word)).collect();
        for word in told {
            self.say_piece(word);
        }
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

    /// Adds a card.
    pub fn add_card(&mut self, card: &Card) {
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
        let families = std::iter::once(&card.family).chain(&card.contributing);
        self.close(&card.board, families, card.last, &card.id);
    }

    /// Adds a document of terms that are not looked at: for comparing scores with other programs.
    #[cfg(test)]
    pub fn add_terms(&mut self, terms: &[&str]) {
        let ranking = &mut self.ranking;
        self.terms
            .extend(terms.iter().map(|term| ranking.intern(term)));
        self.ranking.add(&mut self.terms);
        self.terms.clear();
        self.order.push((None, String::new()));
    }

    /// Ends the document under way.
    fn close<'a>(
        &mut self,
        board: &str,
        families: impl Iterator<Item = &'a String>,
        day: Option<NaiveDate>,
        number: &str,
    ) {
        self.ranking.mark(&terms::board_term(board));
        families.for_each(|family| self.ranking.mark(&terms::family_term(family)));
        self.terms
            .push(self.ranking.intern(&terms::number_term(number)));
        self.ranking.add(&mut self.terms);
        self.terms.clear();
        self.order.push((day, number.to_owned()));
    }

    fn say_part(&mut self, part: &str, board: Option<usize>) {
        self.say(part);
        let name = board
            .and_then(|at| self.boards[at].parts.get(part))
            .map(|p| p.name.clone());
        self.say(name.as_deref().unwrap_or_default());
    }

    /// Adds the terms of `text` to the document under way.
    fn say(&mut self, text: &str) {
        if text.len() <= REMEMBERED {
            return self.say_piece(text);
        }
        let pieces = self.vocabulary.pieces(text, &mut self.loose);
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
        let terms = self.vocabulary.of_document(text);
        let ids: Vec<u32> = terms.iter().map(|term| self.ranking.intern(term)).collect();
        self.terms.extend(&ids);
        if text.len() <= REMEMBERED {
            self.cut.insert(text.to_owned(), ids);
        }
    }

    fn add_finding(&mut self, finding: &Finding, board: Option<usize>) {
        if !tier::is_before_repair(finding) {
            return;
        }
        self.ranking.mark(&terms::kind_term(finding.kind));
        self.say(&finding.place);
        self.say(finding.code.as_deref().unwrap_or_default());
        if finding.kind == FindingKind::Current {
            self.say("draw");
        }
        let band = band::band(finding, self.board(board));
        let word = band.as_deref().filter(|_| finding.code.is_none());
        if let Some(word) = word
            && word.bytes().all(|b| b.is_ascii_lowercase() || b == b'-')
        {
            self.say(word);
        }
        let span = match (finding.got, finding.low, finding.high) {
            (_, Some(low), Some(high)) => Some((low, high)),
            (Some(got), _, _) => Some((got, got)),
            _ => None,
        };
        let doc = u32::try_from(self.order.len()).unwrap_or(u32::MAX);
        let atom = self.atom(finding, board, band.as_deref());
        self.readings[atom as usize].push(Reading { doc, span });
    }

    fn board(&self, at: Option<usize>) -> Option<&Board> {
        at.map(|at| &self.boards[at])
    }

    /// Returns the number of the finding's atom.
    fn atom(&mut self, finding: &Finding, board: Option<usize>, band: Option<&str>) -> u32 {
        let number_band = band.and_then(|_| {
            let mut numbers_alone = finding.clone();
            numbers_alone.code = None;
            band::band(&numbers_alone, self.board(board))
        });
        let texts = &mut self.atoms.texts;
        let mut number = |text: &str| texts.number(text);
        let atom = Atom {
            kind: finding.kind,
            board: board.map(|at| number(&self.boards[at].id)),
            place: number(&finding.place),
            folded: number(&readings::place(&finding.place)),
            state: finding.state.as_deref().map(&mut number),
            polarity: finding.polarity.as_deref().map(&mut number),
            in_hertz: finding.in_hertz,
            good: finding.good.map(f64::to_bits),
            band: band.map(&mut number),
            number_band: number_band.as_deref().map(&mut number),
        };
        *self.atom_at.entry(atom).or_insert_with(|| {
            self.atoms.list.push(atom);
            self.readings.push(Vec::new());
            u32::try_from(self.atoms.list.len() - 1).unwrap_or(u32::MAX)
        })
    }
}
