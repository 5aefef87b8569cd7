//! What has changed since a plan was kept.

use records::{Book, Document, KeptPlan};

use super::plan::texts_of;
use crate::desk::Ended;

/// What the book holds otherwise by now, in a sentence. The plan itself stays as it is.
pub(crate) async fn changed_since(book: &Book, plan: &KeptPlan) -> Result<Option<String>, Ended> {
    let shop = book.shop().await?;
    let now = texts_of(book, &plan.lift, &plan.vehicle).await?;
    let differs = |what: &str| {
        now.get(what).map(|text| Document::new(text.clone()).digest()) != plan.inputs.get(what).copied()
    };
    let job = plan.inputs.get("job").filter(|then| {
        shop.jobs_entered
            .iter()
            .any(|(job, all)| all.iter().any(|(_, file)| file == *then) && shop.jobs.get(job) != Some(*then))
    });
    let changed: Vec<&str> = ["lift", "vehicle", super::INPUT, "limits"]
        .into_iter()
        .filter(|what| differs(what))
        .chain(job.map(|_| "job"))
        .map(|what| match what {
            "lift" => "the lift's file",
            "vehicle" => "the vehicle's file",
            "limits" => "the shop's limits",
            "job" => "the job's file",
            _ => "what was measured of the vehicle",
        })
        .collect();
    Ok((!changed.is_empty()).then(|| {
        format!(
            "Since this plan was made the book holds otherwise: {}. Plan it again before anything is raised by it.",
            changed.join(", ")
        )
    }))
}
