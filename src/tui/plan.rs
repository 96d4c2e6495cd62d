//! The coming weeks, asked for: while they are simulated the screen says how far that is, and goes on.

use crate::app::plan::Coming;
use crate::tui::msg::Effect;
use crate::tui::state::Layer;
use crate::tui::state::Page;
use crate::tui::state::State;
use crate::tui::update;

/// Returns what to ask again while nothing is pressed: how far the simulation is.
pub fn asks_again(state: &State) -> Option<Effect> {
    is_waited_for(state).then(|| Effect::Plan(state.person.clone()))
}

fn is_waited_for(state: &State) -> bool {
    let top = state.layers.last().map(|layer| &layer.page);
    matches!(top, Some(Page::Planning(..)))
}

/// Takes the plan, how far it is, or why there is none.
pub(super) fn on_answer(state: &mut State, answer: &Result<Coming, String>) {
    if is_waited_for(state) {
        state.layers.pop();
    }
    match answer {
        Ok(Coming::UnderWay { done, all }) => update::open(state, Page::Planning(*done, *all)),
        Ok(Coming::Made(plan)) => update::open(state, Page::Plan(plan.clone())),
        Err(why) => update::warn(state, why.clone()),
    }
}

/// Returns what leaving a page asks for.
pub(super) fn after(left: Option<Layer>) -> Option<Effect> {
    let page = left.map(|layer| layer.page);
    matches!(page, Some(Page::Planning(..))).then_some(Effect::LeavePlan)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::msg::Msg;
    use crate::tui::perform;
    use crate::tui::perform::StepClock;
    use crate::tui::sample;
    use crate::tui::sample::Bench;
    use crate::tui::script::play;
    use crate::tui::script::told;
    use std::time::Duration;

    fn at_home() -> State {
        let home = Msg::Home(Ok(Box::new(sample::home())));
        told(State::new(80, 24), vec![home])
    }

    fn look_again(state: &mut State, bench: &mut Bench) {
        let effect = asks_again(state).expect("the plan is waited for");
        let mut clock = StepClock::default();
        let answer = perform::perform(bench, &effect, &mut clock, Duration::ZERO);
        update::update(state, &answer.expect("an answer"));
    }

    fn top(state: &State) -> Option<&Page> {
        state.layers.last().map(|layer| &layer.page)
    }

    #[test]
    fn a_plan_on_the_way_is_looked_for_again_and_shows_by_itself() {
        let (mut state, mut bench) = (at_home(), Bench::new());
        bench.simulated = vec![0, 120];
        play(&mut state, &mut bench, "p");
        assert_eq!(top(&state), Some(&Page::Planning(0, 360)));
        // Keys are heard meanwhile.
        play(&mut state, &mut bench, "down pgdn");
        look_again(&mut state, &mut bench);
        assert_eq!(top(&state), Some(&Page::Planning(120, 360)));
        look_again(&mut state, &mut bench);
        assert!(matches!(top(&state), Some(Page::Plan(_))));
        assert_eq!((asks_again(&state), state.layers.len()), (None, 1));
        play(&mut state, &mut bench, "esc");
        assert!(!bench.calls.contains(&"leave plan".to_owned()));
    }

    #[test]
    fn who_goes_back_gives_the_plan_up() {
        let (mut state, mut bench) = (at_home(), Bench::new());
        bench.simulated = vec![0, 120];
        play(&mut state, &mut bench, "p esc");
        assert_eq!((top(&state), asks_again(&state)), (None, None));
        assert_eq!(bench.calls.last().map(String::as_str), Some("leave plan"));
    }

    #[test]
    fn a_plan_that_cannot_be_made_says_why_where_it_was_waited_for() {
        let mut state = at_home();
        on_answer(&mut state, &Ok(Coming::UnderWay { done: 3, all: 9 }));
        on_answer(&mut state, &Err("there are no cards".to_owned()));
        assert_eq!(top(&state), None);
        let notice = state.notice.expect("said");
        assert_eq!(notice.text, "there are no cards");
    }
}
