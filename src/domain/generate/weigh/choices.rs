//! Ways to choose a few of many, such as the names of a front among what a job recorded.
//!
//! Which of them is best is not asked here.

/// Returns the choices of `n` out of `all`, in the order of `all`.
pub(in crate::domain::generate) fn subsets(all: &[usize], n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![Vec::new()];
    }
    let mut found = Vec::new();
    for (i, first) in all.iter().enumerate() {
        for mut rest in subsets(&all[i + 1..], n - 1) {
            rest.insert(0, *first);
            found.push(rest);
        }
    }
    found
}
