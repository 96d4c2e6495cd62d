//! Which of several edits of one thing stand, when each says which others its lead had seen.
//!
//! An edit that another one saw is behind it; those that nobody saw are the heads. Nothing of this asks
//! for clocks, except for lines that do not say what they saw: those saw whatever took effect before.

use std::collections::HashMap;
use std::collections::HashSet;

use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;

/// How the edits of one thing stand; indices into the list given.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Standing {
    /// Edits that no other one saw, in merged order.
    pub heads: Vec<usize>,
    /// The edits whose value stands: all heads where they come to the same or only add wordings, else
    /// what all of them had seen last; none where the thing stands as derived.
    pub force: Vec<usize>,
    /// Everything those edits saw, themselves included, in merged order.
    pub behind: Vec<usize>,
    /// The heads do not come to the same: made apart from each other.
    pub apart: bool,
}

/// Returns how `list`, edits of one thing in merged order, stands.
pub fn standing(list: &[&EditEntry]) -> Standing {
    if list.len() == 1 {
        return Standing {
            heads: vec![0],
            force: vec![0],
            behind: vec![0],
            apart: false,
        };
    }
    let sees = sees(list);
    let mut among: Vec<usize> = (0..list.len()).collect();
    let mut first: Option<Vec<usize>> = None;
    loop {
        let heads = heads_of(&sees, &among);
        let agree = heads
            .iter()
            .all(|head| list[*head].edit.comes_to(&list[heads[0]].edit))
            || only_add(list, &sees, &heads);
        let apart = first.is_some();
        if agree {
            return Standing {
                heads: first.unwrap_or_else(|| heads.clone()),
                force: heads,
                behind: among,
                apart,
            };
        }
        let common = seen_by_all(&sees, &heads);
        first.get_or_insert(heads);
        among = common;
    }
}

/// Tells whether all heads type other wordings, and none of them took away what another one has: what one
/// lead accepts stands beside what another does.
fn only_add(list: &[&EditEntry], sees: &[Vec<usize>], heads: &[usize]) -> bool {
    let typed = |at: usize| match &list[at].edit {
        Edit::Wording { also, .. } => Some(also),
        _ => None,
    };
    let Some(all) = heads
        .iter()
        .map(|head| typed(*head))
        .collect::<Option<Vec<_>>>()
    else {
        return false;
    };
    heads.iter().zip(&all).all(|(head, own)| {
        let behind = reach(sees, [*head]);
        let before = behind.iter().filter_map(|at| typed(*at)).flatten();
        let mut gone = before.filter(|wording| !own.contains(wording));
        !gone.any(|wording| all.iter().any(|other| other.contains(wording)))
    })
}

/// Returns what each edit saw, directly.
fn sees(list: &[&EditEntry]) -> Vec<Vec<usize>> {
    let mut ids: HashMap<&str, Vec<usize>> = HashMap::new();
    for (at, entry) in list.iter().enumerate() {
        ids.entry(&entry.id).or_default().push(at);
    }
    let named = |at: usize| -> Vec<usize> {
        let after = list[at].after.iter().flatten();
        let found = after.filter_map(|id| ids.get(id.as_str())).flatten();
        found.copied().filter(|seen| *seen != at).collect()
    };
    let mut sees: Vec<Vec<usize>> = (0..list.len()).map(named).collect();
    let mut seen_by = vec![Vec::new(); list.len()];
    for (at, seen) in sees.iter().enumerate() {
        for seen in seen {
            seen_by[*seen].push(at);
        }
    }
    // A line that does not say what it saw saw all before it, but none that says it saw this line: a
    // clock ran ahead there.
    let mut before_it = 0;
    for at in 0..list.len() {
        if list[at].after.is_some() {
            continue;
        }
        let later = reach(&seen_by, [at]);
        if later.iter().any(|l| *l < at) {
            sees[at] = (0..at).filter(|seen| !later.contains(seen)).collect();
        } else {
            // The last such line saw all that was before itself.
            sees[at] = (before_it..at).collect();
            before_it = at;
        }
    }
    sees
}

/// Returns the edits of `among` that no other of them saw.
///
/// In a ring, which no program writes, everyone saw everyone: its latest edit counts as the head.
fn heads_of(sees: &[Vec<usize>], among: &[usize]) -> Vec<usize> {
    let covered: HashSet<usize> = among.iter().flat_map(|at| &sees[*at]).copied().collect();
    let free = |at: &usize| !covered.contains(at);
    let mut heads: Vec<usize> = among.iter().copied().filter(free).collect();
    let mut known = reach(sees, heads.iter().copied());
    for at in among.iter().rev() {
        if !known.contains(at) {
            heads.push(*at);
            known.extend(reach(sees, [*at]));
        }
    }
    heads.sort_unstable();
    heads
}

fn seen_by_all(sees: &[Vec<usize>], heads: &[usize]) -> Vec<usize> {
    let mut common: Option<HashSet<usize>> = None;
    for head in heads {
        let known = reach(sees, [*head]);
        common = Some(match common {
            Some(common) => common.intersection(&known).copied().collect(),
            None => known,
        });
    }
    let mut common: Vec<usize> = common.unwrap_or_default().into_iter().collect();
    // A ring may have left a head among them; it is not behind itself.
    common.retain(|at| !heads.contains(at));
    common.sort_unstable();
    common
}

/// Returns all that can be come to from `from`, which is included.
fn reach(edges: &[Vec<usize>], from: impl IntoIterator<Item = usize>) -> HashSet<usize> {
    let mut open: Vec<usize> = from.into_iter().collect();
    let mut found: HashSet<usize> = open.iter().copied().collect();
    while let Some(at) = open.pop() {
        let next = edges[at].iter().copied();
        open.extend(next.filter(|next| found.insert(*next)));
    }
    found
}
