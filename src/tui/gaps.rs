//! The gaps page: moving over circuits, opening what lies behind one, beginning a measurement.

use crate::app::gaps::GapLine;
use crate::app::gaps::Gaps;
use crate::tui::msg::Act;
use crate::tui::msg::Effect;
use crate::tui::state::Layer;
use crate::tui::state::Page;
use crate::tui::state::State;
use crate::tui::update;

/// Opens the page, at the circuit that is marked at home where it is there.
pub(super) fn open(state: &mut State, found: &Gaps) {
    let at_home = state.circuit_at_hand();
    let mark = found
        .lines
        .iter()
        .position(|line| Some(&line.id) == at_home.as_ref())
        .unwrap_or_default();
    update::open(state, Page::Gaps(Box::new(found.clone()), mark));
}

/// Applies a key on the page.
pub(super) fn on_gaps(state: &mut State, act: Act) -> Vec<Effect> {
    let rows = usize::from(state.size.1 / 3);
    let Some(Layer {
        page: Page::Gaps(found, mark),
        ..
    }) = state.layers.last_mut()
    else {
        return Vec::new();
    };
    let last = found.lines.len().saturating_sub(1);
    let marked: Option<GapLine> = found.lines.get(*mark).cloned();
    match act {
        Act::Up => *mark = mark.saturating_sub(1),
        Act::Down => *mark = (*mark + 1).min(last),
        Act::PageUp => *mark = mark.saturating_sub(rows),
        Act::PageDown => *mark = (*mark + rows).min(last),
        Act::Back => {
            state.layers.pop();
        }
        Act::Pairs => {
            let pairs = found.whole.confused.clone();
            update::open(state, Page::GapPairs(pairs));
        }
        Act::Take => {
            if let Some(line) = marked {
                update::open(state, Page::GapCards(Box::new(line)));
            }
        }
        Act::Family => return marked.map(|l| Effect::Family(l.id)).into_iter().collect(),
        Act::Measure => return measure(state, marked),
        _ => {}
    }
    Vec::new()
}

fn measure(state: &mut State, marked: Option<GapLine>) -> Vec<Effect> {
    let Some(line) = marked else {
        return Vec::new();
    };
    if line.row.held.askable == 0 {
        let text = format!(
            "No card of {} can be asked: spot checks are drawn from cards met, not seen today.",
            line.id
        );
        update::say(state, &text);
        return Vec::new();
    }
    vec![Effect::Measure {
        person: state.person.clone(),
        family: line.id,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::msg::Msg;
    use crate::tui::sample;
    use crate::tui::sample::Bench;
    use crate::tui::script::drive;
    use crate::tui::script::play;
    use crate::tui::script::told;
    use crate::tui::state::Place;

    fn at_home() -> State {
        let home = Msg::Home(Ok(Box::new(sample::home())));
        told(State::new(80, 24), vec![home])
    }

    fn at_gaps() -> State {
        told(at_home(), vec![Msg::Gaps(Ok(Box::new(sample::gaps())))])
    }

    #[test]
    fn g_opens_the_gaps_of_whoever_sits_here_at_the_circuit_marked() {
        let mut state = at_home();
        assert_eq!(drive(&mut state, "g"), [Effect::Gaps("mk".to_owned())]);
        let state = told(state, vec![Msg::Gaps(Ok(Box::new(sample::gaps())))]);
        assert_eq!(state.place(), Place::Gaps);
        // Home marks inlet, which stands third among the gaps.
        let at = matches!(&state.layers[0].page, Page::Gaps(_, 2));
        assert!(at, "{:?}", state.layers);
    }

    #[test]
    fn s_measures_the_circuit_marked_and_says_when_none_can_be_asked() {
        let mut state = at_gaps();
        let measure = |family: &str| Effect::Measure {
            person: "mk".to_owned(),
            family: family.to_owned(),
        };
        assert_eq!(drive(&mut state, "s"), [measure("inlet")]);
        assert_eq!(drive(&mut state, "up s"), []);
        let said = state.notice.as_ref().map(|n| n.text.as_str());
        assert!(
            said.is_some_and(|text| text.contains("sequence")),
            "{said:?}"
        );
        assert_eq!(drive(&mut state, "up up up s"), [measure("core")]);
    }

    #[test]
    fn a_measurement_is_a_sitting_and_ends_at_home() {
        let mut state = at_gaps();
        let mut bench = Bench::new();
        play(&mut state, &mut bench, "s");
        assert_eq!(state.place(), Place::Circuit);
        let notice = state.drill().map(|d| d.view.notice.as_str());
        assert!(notice.is_some_and(|n| n.contains("20 spot checks on inlet")));
        play(&mut state, &mut bench, "esc enter");
        assert_eq!(state.place(), Place::Home);
        assert_eq!(bench.calls, ["measure mk inlet", "stop", "home mk"]);
    }

    #[test]
    fn pages_open_over_the_gaps_and_close_to_them() {
        let mut state = at_gaps();
        for key in ["enter", "m", "?"] {
            drive(&mut state, key);
            assert_eq!(state.place(), Place::Reading, "{key}");
            drive(&mut state, "esc");
            assert_eq!(state.place(), Place::Gaps, "{key}");
        }
        assert_eq!(drive(&mut state, "f"), [Effect::Family("inlet".to_owned())]);
        drive(&mut state, "esc");
        assert_eq!(state.place(), Place::Home);
    }

    #[test]
    fn the_mark_stays_on_the_list() {
        let mut state = at_gaps();
        drive(&mut state, "pgdn pgdn down down");
        assert!(matches!(&state.layers[0].page, Page::Gaps(_, 4)));
        drive(&mut state, "pgup pgup up");
        assert!(matches!(&state.layers[0].page, Page::Gaps(_, 0)));
    }

    #[test]
    fn gaps_that_cannot_be_read_say_why() {
        let state = told(at_home(), vec![Msg::Gaps(Err("no access".to_owned()))]);
        assert_eq!(state.place(), Place::Home);
        assert!(state.notice.is_some_and(|n| n.grave));
    }
}
