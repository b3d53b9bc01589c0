//! What belongs to a service of this kind of reel, what was done, and did it get better?
//!
//! A plan is a list of the pack with what was done marked beside it. A function test is read before and after, and its
//! own rule says whether that counts as a change: no limit is shown without its source and what it applies to.

mod plan;
mod readings;
mod report;

pub use plan::{Amount, Marked, PlanItem, ServicePlan, plan};
pub(crate) use readings::figure;
pub use readings::{Change, ReadWhen, Reading, ShownLimit, Verdict, change, figures_of, limits, newest};
pub use report::{Report, ReportLine, ReportTest, report};

#[cfg(test)]
mod tests;
