//! Jobs as small integers: one cause a job, one value or nothing a finding.
//!
//! What a cause is (a fix, a circuit) and how findings fall into values is the caller's business.

/// The value of a finding that a job did not record, which is not the same as absent.
pub const UNRECORDED: u16 = u16::MAX;

/// One closed job.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CodedJob {
    /// Which cause.
    pub cause: usize,
    /// One value a finding, or [`UNRECORDED`].
    pub values: Vec<u16>,
}

/// Closed jobs over one list of causes and one list of findings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Coded {
    causes: usize,
    n_values: Vec<usize>,
    jobs: Vec<CodedJob>,
}

impl Coded {
    /// Checks that every job names a cause of the list, and a known value or none for each finding.
    ///
    /// `causes` may be more than the jobs show; `n_values` is the number of values of each finding.
    pub fn new(causes: usize, n_values: Vec<usize>, jobs: Vec<CodedJob>) -> Option<Self> {
        let known = |(value, n): (&u16, &usize)| *value == UNRECORDED || usize::from(*value) < *n;
        let fits = |job: &CodedJob| {
            job.cause < causes
                && job.values.len() == n_values.len()
                && job.values.iter().zip(&n_values).all(known)
        };
        let sizes = n_values.iter().all(|n| *n < usize::from(UNRECORDED));
        (causes > 0 && sizes && jobs.iter().all(fits)).then_some(Self {
            causes,
            n_values,
            jobs,
        })
    }

    /// Returns how many causes there are.
    pub fn causes(&self) -> usize {
        self.causes
    }

    /// Returns how many values each finding takes.
    pub fn n_values(&self) -> &[usize] {
        &self.n_values
    }

    /// Returns the jobs.
    pub fn jobs(&self) -> &[CodedJob] {
        &self.jobs
    }

    /// Returns the same causes and findings with other jobs; none when they do not fit.
    pub fn with_jobs(&self, jobs: Vec<CodedJob>) -> Option<Self> {
        Self::new(self.causes, self.n_values.clone(), jobs)
    }
}

/// Returns the findings that are recorded, each with its value.
///
/// A value that the archive does not know says nothing and is passed over.
pub fn recorded(values: &[u16], n_values: &[usize]) -> Vec<(usize, usize)> {
    let pairs = values.iter().zip(n_values).enumerate();
    pairs
        .map(|(finding, (value, n))| (finding, usize::from(*value), *n))
        .filter(|(_, value, n)| value < n)
        .map(|(finding, value, _)| (finding, value))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_outside_the_lists_is_refused() {
        let job = |cause: usize, values: &[u16]| CodedJob {
            cause,
            values: values.to_vec(),
        };
        let new = |one: CodedJob| Coded::new(2, vec![2, 3], vec![one]);
        assert!(new(job(1, &[1, UNRECORDED])).is_some());
        assert!(new(job(2, &[1, 1])).is_none(), "no such cause");
        assert!(new(job(0, &[2, 1])).is_none(), "no such value");
        assert!(new(job(0, &[1])).is_none(), "a finding is missing");
        assert!(Coded::new(0, vec![2], Vec::new()).is_none());
    }

    #[test]
    fn an_unknown_value_says_nothing() {
        assert_eq!(recorded(&[1, UNRECORDED, 7], &[2, 2, 3]), [(0, 1)]);
    }
}
