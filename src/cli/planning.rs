//! The plan behind the screen: it is simulated on a thread of its own, and given up when nobody waits.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;
use std::sync::mpsc;
use std::sync::mpsc::Receiver;
use std::sync::mpsc::RecvTimeoutError;
use std::thread;
use std::time::Duration;

use chrono::DateTime;
use chrono::Utc;

use crate::app::plan;
use crate::app::plan::Ask;
use crate::app::plan::Coming;
use crate::app::plan::Plan;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::shop::Person;

/// How long a plan may take before the screen says how far it is.
const AT_ONCE: Duration = Duration::from_millis(150);

/// How far a simulation is, and whether anyone waits for it.
#[derive(Debug, Default)]
struct Way {
    done: AtomicU64,
    all: AtomicU64,
    unwanted: AtomicBool,
}

/// A plan on the way.
#[derive(Debug)]
struct Task {
    person: String,
    way: Arc<Way>,
    receiver: Receiver<Result<Plan, AppError>>,
}

/// The plan that is waited for, if one is.
#[derive(Debug, Default)]
pub(crate) struct Planning(Option<Task>);

impl Planning {
    /// Returns the plan of a person, or how far it is; begins it where it is not on the way.
    pub(crate) fn look(
        &mut self,
        workbench: &Workbench,
        person: &str,
        ask: &Ask,
        now: DateTime<Utc>,
    ) -> Result<Coming, AppError> {
        let begun = self.0.take().filter(|task| task.person == person);
        let (task, wait) = if let Some(task) = begun {
            (task, Duration::ZERO)
        } else {
            let person = workbench.person(Some(person))?;
            let task = Task::begin(workbench.clone(), person, ask.clone(), now);
            (task, AT_ONCE)
        };
        match task.receiver.recv_timeout(wait) {
            Ok(found) => Ok(Coming::Made(Box::new(found?))),
            Err(RecvTimeoutError::Timeout) => {
                let far = |n: &AtomicU64| n.load(Ordering::Relaxed);
                let (done, all) = (far(&task.way.done), far(&task.way.all));
                self.0 = Some(task);
                Ok(Coming::UnderWay { done, all })
            }
            Err(RecvTimeoutError::Disconnected) => Err(AppError::Abandoned),
        }
    }

    /// Gives up what is on the way.
    pub(crate) fn leave(&mut self) {
        self.0 = None;
    }
}

impl Task {
    fn begin(workbench: Workbench, person: Person, ask: Ask, now: DateTime<Utc>) -> Self {
        let way = Arc::new(Way::default());
        let (sender, receiver) = mpsc::channel();
        let task = Self {
            person: person.id.clone(),
            way: Arc::clone(&way),
            receiver,
        };
        thread::spawn(move || {
            let progress = |done: u64, all: u64| {
                // Two threads tell: the later number is not always the last to come.
                way.done.fetch_max(done, Ordering::Relaxed);
                way.all.store(all, Ordering::Relaxed);
                !way.unwanted.load(Ordering::Relaxed)
            };
            drop(sender.send(plan::plan(&workbench, &person, &ask, now, &progress)));
        });
        task
    }
}

impl Drop for Task {
    fn drop(&mut self) {
        self.way.unwanted.store(true, Ordering::Relaxed);
    }
}
