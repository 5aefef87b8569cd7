//! What keeps anything from being raised by a plan now, whatever the plan says.

use jiff::Timestamp;
use records::{Book, Document, Hall, KeptPlan, LiftId, Outline, Refusal, VehicleId};
use sheets::Scene;

use super::plan::texts_of;
use crate::desk::Ended;
use crate::told::board::why_unfit;
use crate::told::plain;

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

/// Raises elsewhere, and what raises left behind, that keep one by this plan from being begun.
pub(crate) fn in_the_way(
    shop: &Hall,
    (lift, vehicle): (&LiftId, &VehicleId),
    scene: &Scene<'_>,
) -> Vec<String> {
    let outline = Outline::of(scene.plan, scene.job, scene.lift);
    let raised = shop.raises.iter().filter(|(_, r)| r.plan.vehicle == *vehicle && r.plan.lift != *lift);
    let raised = raised.map(|(number, _)| Refusal::VehicleBusy(vehicle.clone(), *number));
    let left = records::in_the_way(shop, lift, vehicle, &outline);
    raised.chain(left).map(|why| why.to_string()).collect()
}

/// All of it of a plan that the book keeps, a line each; empty = nothing.
pub(crate) async fn cautions(book: &Book, plan: &KeptPlan, scene: &Scene<'_>) -> Result<String, Ended> {
    let shop = book.shop().await?;
    let changed = changed_since(book, plan).await?;
    let why = why_unfit(&shop, &plan.lift, Timestamp::now());
    let unfit = (!why.is_empty()).then(|| format!("{} must not be used now: {}.", plan.lift, why.join("; ")));
    let way = in_the_way(&shop, (&plan.lift, &plan.vehicle), scene);
    let all = changed.into_iter().chain(unfit).chain(way);
    Ok(all.map(|said| format!("CAUTION: {}\n", plain(&said))).collect())
}
