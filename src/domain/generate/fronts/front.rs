//! The front of a fix card, and what of the shown job is held back until the answer.

use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::tier;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;

/// Returns the front, each finding with its name, and what of the shown job is held back.
pub fn faces(
    shown: &Job,
    draft: &Draft,
    mask: &Mask,
    board: Option<&Board>,
) -> (Vec<(usize, Finding)>, Vec<Finding>) {
    let mut front: Vec<(usize, Finding)> = Vec::new();
    let mut held_back: Vec<Finding> = Vec::new();
    for finding in shown.findings.iter().filter(|f| tier::is_before_repair(f)) {
        if band::band(finding, board).is_none() {
            continue;
        }
        let plain = Finding {
            raw: None,
            ..finding.clone()
        };
        let Some(name) = draft.table.name_of(finding) else {
            held_back.push(plain);
            continue;
        };
        let face = face(&plain, &draft.table.names()[name], mask);
        if face != plain && !is_everywhere(&plain) {
            held_back.push(plain);
        }
        if draft.names.contains(&name) && !front.iter().any(|(_, f)| *f == face) {
            front.push((name, face));
        }
    }
    front.sort_by_key(|(name, _)| *name);
    for name in &draft.names {
        thin_out(&mut front, *name);
    }
    (front, held_back)
}

/// Tells whether a sign is one of the whole board: no place of it is held back.
fn is_everywhere(finding: &Finding) -> bool {
    finding.kind == FindingKind::Visual
        && finding.place.trim() == "whole board"
        && finding.extent.as_deref() == Some("board")
}

/// Returns the finding as the front shows it: without a place that is held back.
pub(in crate::domain::generate) fn face(finding: &Finding, name: &Name, mask: &Mask) -> Finding {
    let mut face = finding.clone();
    if name.held {
        face.place = String::new();
    }
    let words = |text: &Option<String>| text.clone().filter(|t| !mask.tells(t));
    face.extent = words(&face.extent);
    face.polarity = words(&face.polarity);
    if face.kind == FindingKind::Heat {
        // Words for heat may name the place: those that are no band are left out.
        let word = face.code.take().map(|c| c.trim().to_lowercase());
        face.code = match word {
            Some(word) if band::HEAT.contains(&word.as_str()) => Some(word),
            Some(_) if face.got.is_none() => Some(band::NOTED.to_owned()),
            _ => None,
        };
    }
    face
}

/// Leaves of several heats the hottest, and of several signs those that are signs.
pub(in crate::domain::generate) fn thin_out(front: &mut Vec<(usize, Finding)>, name: usize) {
    let own = |(n, _): &&(usize, Finding)| *n == name;
    let Some(kind) = front.iter().find(own).map(|(_, f)| f.kind) else {
        return;
    };
    match kind {
        FindingKind::Heat => {
            let hottest = front
                .iter()
                .filter(own)
                .filter_map(|(_, f)| f.got)
                .max_by(f64::total_cmp);
            if hottest.is_some() {
                front.retain(|(n, f)| *n != name || f.got == hottest);
            }
        }
        FindingKind::Visual => {
            let sign = |f: &Finding| f.code.as_deref() != Some("none-seen");
            if front.iter().filter(own).any(|(_, f)| sign(f)) {
                front.retain(|(n, f)| *n != name || sign(f));
            }
        }
        _ => {}
    }
}
