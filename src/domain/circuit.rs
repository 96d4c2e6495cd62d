//! Circuit families: where the proven fault was.
//!
//! Sixteen are built in ([`families::built_in`]); a shop adds, renames by id, or replaces them
//! ([`Circuits::with_shop`]). Source of the taxonomy: common practice, no source.

use crate::domain::families;

/// The stable name of a circuit family: `standby`, `buck`, …
pub type FamilyId = String;

/// Everything a family page shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Family {
    /// Stable id.
    pub id: FamilyId,
    /// Name a person reads.
    pub name: String,
    /// What belongs here.
    pub belongs: String,
    /// Signs that bring a technician here.
    pub signs: Vec<String>,
    /// First measurement.
    pub first_measurement: String,
    /// Usual failures and what mends them.
    pub failures: Vec<String>,
    /// Families it is often confused with, most often first.
    pub confused_with: Vec<FamilyId>,
    /// Rules for the border with its neighbours: (neighbour, rule).
    pub boundary: Vec<(FamilyId, String)>,
    /// Caution shown first where this circuit can hurt someone.
    pub caution: Option<String>,
}

impl Family {
    /// Returns a family that a shop named but did not describe.
    pub fn named(id: &str, name: &str) -> Self {
        Self {
            id: id.to_owned(),
            name: name.to_owned(),
            belongs: String::new(),
            signs: Vec::new(),
            first_measurement: String::new(),
            failures: Vec::new(),
            confused_with: Vec::new(),
            boundary: Vec::new(),
            caution: None,
        }
    }
}

/// What a shop says about one family; a field left out keeps the built-in text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FamilyOverride {
    /// Which family; an unknown id adds one.
    pub id: FamilyId,
    /// New name.
    pub name: Option<String>,
    /// New list of look-alikes.
    pub confused_with: Option<Vec<FamilyId>>,
    /// New text for what belongs here.
    pub belongs: Option<String>,
    /// New first measurement.
    pub first_measurement: Option<String>,
    /// New list of signs.
    pub signs: Option<Vec<String>>,
}

/// The families of one shop, in their printed order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Circuits {
    families: Vec<Family>,
}

impl Circuits {
    /// Returns the built-in families with the shop's changes; `only` drops the built-in ones first.
    pub fn with_shop(overrides: &[FamilyOverride], only: bool) -> Self {
        let mut families = if only {
            Vec::new()
        } else {
            families::built_in()
        };
        for change in overrides {
            let at = families
                .iter()
                .position(|f| f.id == change.id)
                .unwrap_or_else(|| {
                    families.push(Family::named(&change.id, &change.id));
                    families.len() - 1
                });
            let family = &mut families[at];
            replace(&mut family.name, change.name.as_ref());
            replace(&mut family.confused_with, change.confused_with.as_ref());
            replace(&mut family.belongs, change.belongs.as_ref());
            replace(
                &mut family.first_measurement,
                change.first_measurement.as_ref(),
            );
            replace(&mut family.signs, change.signs.as_ref());
        }
        Self { families }
    }

    /// Returns the family called `id`.
    pub fn get(&self, id: &str) -> Option<&Family> {
        self.families.iter().find(|f| f.id == id)
    }

    /// Returns all families in their printed order.
    pub fn all(&self) -> &[Family] {
        &self.families
    }

    /// Returns the rule that tells `asked` from `said`, whichever of the two pages prints it.
    pub fn boundary_rule(&self, asked: &str, said: &str) -> Option<&str> {
        let find = |of: &str, other: &str| {
            self.get(of)?
                .boundary
                .iter()
                .find(|(id, _)| id == other)
                .map(|(_, rule)| rule.as_str())
        };
        find(asked, said).or_else(|| find(said, asked))
    }

    /// Returns what tells `asked` from `said`: their rule, else the first sign of each that has any.
    pub fn tell_apart(&self, asked: &str, said: &str) -> Option<String> {
        if let Some(rule) = self.boundary_rule(asked, said) {
            return Some(rule.to_owned());
        }
        let sign = |id: &str| {
            let family = self.get(id)?;
            Some(format!("{}: {}", family.id, family.signs.first()?))
        };
        let signs: Vec<String> = [asked, said].into_iter().filter_map(sign).collect();
        (!signs.is_empty()).then(|| signs.join(" "))
    }
}

fn replace<T: Clone>(slot: &mut T, new: Option<&T>) {
    if let Some(value) = new {
        slot.clone_from(value);
    }
}
