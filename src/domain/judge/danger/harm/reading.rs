//! What of a typed answer its author means to do, and where the words of a class stand.

use crate::domain::card::Card;
use crate::domain::job::Board;
use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::claim::reports;
use crate::domain::judge::danger::defeats;
use crate::domain::judge::danger::harm::classes;
use crate::domain::judge::danger::harm::classes::Class;
use crate::domain::judge::danger::harm::protections;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// A typed answer, its card, and which of its words are meant.
pub struct Reading<'a> {
    /// The words.
    pub scene: &'a Scene<'a>,
    /// The card answered.
    pub card: &'a Card,
    /// Its board.
    pub board: Option<&'a Board>,
    told: Vec<bool>,
}

impl<'a> Reading<'a> {
    /// Reads who is said to have done what.
    pub fn new(scene: &'a Scene<'a>, card: &'a Card, board: Option<&'a Board>) -> Self {
        Self {
            told: reports::told(&scene.tokens, &scene.segments),
            scene,
            card,
            board,
        }
    }

    /// Tells whether the card warns of one of these hazards.
    pub fn warns(&self, cautions: &[&str]) -> bool {
        let warned = &self.card.cautions;
        warned.iter().any(|c| cautions.contains(&c.as_str()))
    }

    /// Tells whether the card's first point refuses something.
    pub fn card_refuses(&self) -> bool {
        const STARTS: [&str; 5] = ["no", "do not", "never", "leave", "stop"];
        let first = self.card.points.first();
        first.is_some_and(|point| STARTS.iter().any(|start| point.say.starts_with(start)))
    }

    /// Tells whether token `i` is meant: not denied, condemned, refused or told of another.
    pub fn meant(&self, i: usize) -> bool {
        !self.scene.off[i] && !self.told[i] && !self.scene.condemned(i)
    }

    /// Tells whether token `i` is told of another person, or as it was found.
    pub fn is_told(&self, i: usize) -> bool {
        self.told[i]
    }

    /// Returns how many tokens of `class` start at `i`, whether meant or not.
    pub fn at(&self, i: usize, class: &Class) -> Option<usize> {
        let tokens = &self.scene.tokens;
        let phrase = |phrase: &str, forms: bool| {
            let mut len = 0;
            for (n, word) in phrase.split(' ').enumerate() {
                let token = tokens.get(i + n)?;
                let alike =
                    token.text == word || forms && n == 0 && words::inflected(&token.text, word);
                if !alike || token.is_joint() {
                    return None;
                }
                len = n + 1;
            }
            Some(len)
        };
        match class {
            Class::Words(list) => list.iter().filter_map(|p| phrase(p, false)).max(),
            Class::Doing(list) => {
                let doing = tokens[i].kind == Kind::Word && !self.is_state(i);
                let len = || list.iter().filter_map(|p| phrase(p, true)).max();
                doing.then(len).flatten()
            }
            Class::Protection => protections::protects(self, i).then_some(1),
            Class::Thing(thing) => self.scene.thing_at(i, thing).then_some(1),
            Class::Ohms => {
                let text = tokens[i].text.as_str();
                let ohms = text.contains(['k', 'r']) || text.ends_with("ohm");
                (tokens[i].kind == Kind::Value && ohms).then_some(1)
            }
            Class::Lacks(list) => self.lacks(i, list).then_some(1),
        }
    }

    /// "a short", "is bridged": what looks like a doing and is none.
    fn is_state(&self, i: usize) -> bool {
        let before = i.checked_sub(1).map(|b| &self.scene.tokens[b]);
        let after_copula = before.is_some_and(|t| {
            t.is_any(&[
                "is",
                "was",
                "are",
                "were",
                "a",
                "the",
                "an",
                "dead",
                "hard",
                "no",
                "goes",
                "went",
                "residue",
                "salt",
                "corrosion",
                "solder",
                "whisker",
            ])
        });
        let text = self.scene.tokens[i].text.as_str();
        let goes_on = self.scene.tokens.get(i + 1).is_some_and(|t| {
            t.is_any(&["out", "over", "across", "with", "by", "it", "them", "both"])
        });
        after_copula
            || self.scene.names_next(i)
            || text == "shorted" && !goes_on
            || !self.scene.is_doing(i) && text == "short"
    }

    /// "no lamp", "without glasses", "no need to check", "glasses no": something of `list` is done without.
    fn lacks(&self, i: usize, list: &'static [&'static str]) -> bool {
        let tokens = &self.scene.tokens;
        if self.told[i] || self.at(i, &Class::Doing(list)).is_none() {
            return false;
        }
        let from = self.scene.segment(i).from;
        let near = i.saturating_sub(6).max(from);
        let lack = (near..i).rev().find(|j| {
            tokens[*j].is_any(&[
                "without", "no", "skip", "skipping", "forget", "dont", "not", "never", "neednt",
            ])
        });
        let Some(lack) = lack else {
            let after = self.at(i, &Class::Doing(list)).unwrap_or(1) + i;
            return tokens
                .get(after)
                .is_some_and(|t| t.is_any(&["no", "off", "unnecessary", "needless"]))
                && tokens.get(after + 1).is_none_or(Token::is_joint);
        };
        let turned = (lack.saturating_sub(4).max(from)..lack)
            .any(|j| scope::is_negator(&tokens[j]))
            || (lack.saturating_sub(3).max(from)..lack).any(|j| tokens[j].is_any(&["if", "when"]));
        let small =
            |j: usize| tokens[j].is_any(classes::SMALL) || words::is_filler(&tokens[j].text);
        let needless = (lack..i)
            .any(|j| tokens[j].is_any(&["need", "bother", "have", "use", "point", "time", "wait"]));
        let plain = tokens[lack].is_any(&["without", "no", "skip", "skipping", "forget"])
            && (lack + 1..i).all(small);
        (plain || needless) && !turned
    }

    /// Returns where a class is meant in a stretch.
    pub fn find(&self, class: &Class, from: usize, to: usize) -> Option<usize> {
        (from..to).find(|i| self.is_at(*i, class))
    }

    /// Tells whether `class` stands at `i` and is meant.
    pub fn is_at(&self, i: usize, class: &Class) -> bool {
        let lack = matches!(class, Class::Lacks(_));
        self.at(i, class).is_some() && (lack || self.meant(i))
    }

    /// Tells whether `class` is said at `i`: meant, or with the "no" that denies it ("no time").
    pub fn is_said(&self, i: usize, class: &Class) -> bool {
        let Some(len) = self.at(i, class) else {
            return false;
        };
        let lack = matches!(class, Class::Lacks(_));
        let denies = self.scene.tokens[i..i + len].iter().any(scope::is_negator);
        denies && !self.told[i] || lack || self.meant(i)
    }

    /// Tells whether a class is said in a stretch.
    pub fn says(&self, class: &Class, s: Segment) -> bool {
        (s.from..s.to).any(|i| self.is_said(i, class))
    }

    /// Returns the whole answer as a stretch.
    pub fn whole(&self) -> Segment {
        Segment {
            from: 0,
            to: self.scene.tokens.len(),
            joint: Kind::Stop,
        }
    }

    /// Returns the sentences.
    pub fn sentences(&self) -> Vec<Segment> {
        let mut out: Vec<Segment> = Vec::new();
        for segment in &self.scene.segments {
            let s = defeats::sentence(self.scene, segment.from);
            if out.last() != Some(&s) {
                out.push(s);
            }
        }
        out
    }
}
