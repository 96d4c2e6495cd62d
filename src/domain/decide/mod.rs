//! Decisions at the bench as sums: in which order to try, when to stop, what a test is worth.
//!
//! [`order`] is the order of repairs and the expected cost of repair, [`plan`] whole plans that may
//! end before everything was tried, [`information`] what a test tells, in bits and in money. All of
//! it supposes one fault, costs that do not depend on the order, and a try that shows at once whether
//! it helped. Several faults at once (liquid), repairs that do harm, and work that several tests share
//! are left out; so is where chances and costs come from.

pub mod information;
pub mod order;
pub mod plan;
