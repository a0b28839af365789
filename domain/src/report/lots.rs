//! Which batches travel together.

use super::request::{ReportLot, ReportRequest};
use super::result::BatchReport;
use crate::batch::{Batch, BatchKind, BatchStatus};
use crate::decision::RecoveryOffer;
use crate::estimate::{Estimate, Evidence, SilverCompound};
use crate::fault::{Fault, FaultKind, at_most};
use crate::quantity::{Currency, Identifier, Percent, Text};
use crate::recovery::{RecoveryPlan, RecoveryPlans};
use crate::valuation::{LotBatch, LotForm, PreparedLot, RefinerTerms, constituents_of};
use crate::waste::contents::bears_silver;
use rust_decimal::Decimal;

/// A lot with its members by index.
pub(super) struct Planned<'a> {
    pub id: Identifier,
    pub at: String,
    pub form: LotForm,
    pub members: Vec<usize>,
    pub stated: Option<&'a ReportLot>,
}

/// The lots as stated, and those made of whatever else bears silver, by its kind or by a reading: batches of one kind and form together, a
/// working bath and everything that counts as cyanide each by itself.
pub(super) fn plan_lots<'a>(
    request: &'a ReportRequest,
    batches: &[Batch],
    estimates: &[Estimate],
) -> Result<Vec<Planned<'a>>, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut taken = vec![false; batches.len()];
    let mut lots: Vec<Planned<'a>> = Vec::new();
    faults.extend(at_most("/lots", request.lots.len(), super::MOST_BATCHES).err());
    for (i, stated) in request.lots.iter().enumerate() {
        let at = format!("/lots/{i}");
        if lots.iter().any(|l| l.id == stated.id) {
            faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{at}/id"),
                format!("`{}` names two lots: expected a name of its own", stated.id),
            ));
        }
        let members = members(stated, batches, &at, &mut taken, &mut faults);
        let Some(first) = members.first().and_then(|m| batches.get(*m)) else {
            // Ids that are unknown or taken have had their own fault.
            if stated.batches.is_empty() {
                faults.push(Fault::missing(
                    format!("{at}/batches"),
                    "the id of at least one batch",
                ));
            }
            continue;
        };
        let form = stated.form.unwrap_or_else(|| usual_form(first));
        for member in &members {
            let Some(batch) = batches.get(*member) else {
                continue;
            };
            if !batch.kind.can_travel_as(form) {
                faults.push(Fault::new(
                    FaultKind::Conflict,
                    format!("{at}/form"),
                    format!(
                        "`{}` holds {} and does not travel as {}: expected batches of one form in a lot",
                        batch.id,
                        batch.kind.words(),
                        form.words()
                    ),
                ));
            }
        }
        lots.push(Planned {
            id: stated.id.clone(),
            at,
            form,
            members,
            stated: Some(stated),
        });
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    for (index, batch) in batches.iter().enumerate() {
        let found = estimates.get(index).and_then(Estimate::figure).is_some();
        if taken.get(index).copied().unwrap_or(true) || !(found || bears_silver(batch)) {
            continue;
        }
        let form = usual_form(batch);
        let alone = batch.status == Some(BatchStatus::InUse)
            || batch.counts_as_cyanide()
            || batch.is_ammoniacal_silver();
        let same = |l: &&mut Planned<'_>| {
            l.stated.is_none()
                && l.form == form
                && l.members
                    .first()
                    .and_then(|m| batches.get(*m))
                    .is_some_and(|b| {
                        b.kind == batch.kind
                            && b.status != Some(BatchStatus::InUse)
                            && !b.counts_as_cyanide()
                            && !b.is_ammoniacal_silver()
                    })
        };
        match lots.iter_mut().find(same) {
            Some(lot) if !alone => lot.members.push(index),
            _ => {
                let id = free_name(batch, alone, &lots);
                lots.push(Planned {
                    id,
                    at: format!("/lots/{}", lots.len()),
                    form,
                    members: vec![index],
                    stated: None,
                });
            }
        }
    }
    Ok(lots)
}

/// The form a batch travels in: a sludge that is stated or weighed as one compound is that compound.
fn usual_form(batch: &Batch) -> LotForm {
    let compound = batch.evidence.iter().find_map(|e| match e {
        Evidence::WeighedSolid(solid) => solid.compound,
        _ => None,
    });
    let stated = |id: &str| batch.composition.iter().any(|c| c.substance.as_str() == id);
    if batch.kind != BatchKind::Sludge {
        batch.kind.lot_form()
    } else if compound == Some(SilverCompound::SilverChloride) || stated("silver_chloride") {
        LotForm::SilverChloride
    } else if compound == Some(SilverCompound::SilverSulfide) || stated("silver_sulfide") {
        LotForm::SilverSulfide
    } else {
        batch.kind.lot_form()
    }
}

fn members(
    stated: &ReportLot,
    batches: &[Batch],
    at: &str,
    taken: &mut [bool],
    faults: &mut Vec<Fault>,
) -> Vec<usize> {
    let mut members = Vec::new();
    for (j, id) in stated.batches.iter().enumerate() {
        let place = format!("{at}/batches/{j}");
        let Some(index) = batches.iter().position(|b| b.id == *id) else {
            faults.push(Fault::new(
                FaultKind::Unknown,
                place,
                format!("`{id}` is not a batch of this report: expected the id of one of them"),
            ));
            continue;
        };
        match taken.get_mut(index) {
            Some(taken) if *taken => faults.push(Fault::new(
                FaultKind::Conflict,
                place,
                format!("`{id}` already belongs to a lot: expected each batch in one lot at most"),
            )),
            Some(taken) => {
                *taken = true;
                members.push(index);
            }
            None => {}
        }
    }
    members
}

/// The batch's own name for a lot of one, else the kind's.
fn free_name(batch: &Batch, alone: bool, lots: &[Planned<'_>]) -> Identifier {
    if alone {
        return batch.id.clone();
    }
    let plural = match batch.kind {
        BatchKind::Fixer => "spent-fixer",
        BatchKind::RinseWater => "rinse-water",
        BatchKind::Sludge => "sludge",
        _ => "",
    };
    let kind = if plural.is_empty() {
        batch.kind.words().replace(' ', "-")
    } else {
        plural.to_owned()
    };
    let taken = |name: &str| lots.iter().any(|l| l.id.as_str() == name);
    if taken(&kind) {
        return batch.id.clone();
    }
    Identifier::new(&kind).unwrap_or_else(|_| batch.id.clone())
}

impl<'a> Planned<'a> {
    /// The lot as the valuation takes it.
    pub fn prepared<'b>(
        &'b self,
        batches: &'b [Batch],
        estimates: &'b [Estimate],
        reports: &[BatchReport],
    ) -> PreparedLot<'b> {
        let parts = self.members.iter().filter_map(|m| {
            let batch = batches.get(*m)?;
            Some(LotBatch {
                at: format!("/batches/{m}"),
                batch,
                estimate: estimates.get(*m)?,
                constituents: constituents_of(batch),
                danger: reports.get(*m)?.danger.clone(),
            })
        });
        PreparedLot {
            id: &self.id,
            form: self.form,
            batches: parts.collect(),
            moisture_percent: self.stated.and_then(|s| s.moisture_percent),
            free_liquid: self.stated.and_then(|s| s.free_liquid),
            sample_approved: self.stated.and_then(|s| s.sample_approved),
        }
    }
}

/// What recovering here would bring, by the recommended plans of a lot's batches: one process for
/// all, each with a cost in `currency`.
pub(super) fn offer_of(
    plans: &[&RecoveryPlans],
    estimates: &[&Estimate],
    currency: Currency,
) -> Option<RecoveryOffer> {
    let chosen: Vec<&RecoveryPlan> = plans
        .iter()
        .map(|p| p.plan(p.recommended?))
        .collect::<Option<_>>()?;
    let first = chosen.first()?;
    let product_form = first.product.form;
    if product_form == LotForm::Solution || chosen.iter().any(|p| p.process != first.process) {
        return None;
    }
    let mut cost = Decimal::ZERO;
    let (mut out, mut all) = (0.0, 0.0);
    for (plan, estimate) in chosen.iter().zip(estimates) {
        let price = plan
            .cost
            .as_ref()
            .filter(|c| c.currency == currency)?
            .total?;
        cost = cost.checked_add(price.decimal())?;
        out += plan.silver_recovered.as_ref()?.expected_g.get();
        all += estimate.figure()?.0;
    }
    if all <= 0.0 {
        return None;
    }
    let percent = crate::quantity::ComputedPercent::of((100.0 * out / all).clamp(0.0, 100.0));
    Some(RecoveryOffer {
        name: Text::new(&first.title).ok()?,
        product_form,
        recovered_percent: Percent::new(percent.to_decimal().ok()?.round_dp(1)).ok()?,
        currency,
        cost: crate::quantity::Amount::new(cost).ok()?,
        product_mass_kg: None,
        terms: None,
        throughput_g_per_month: None,
    })
}

/// The same offer when its product joins a lot that is sent anyway: what is charged once per lot,
/// and the least mass, are that lot's and not its own.
pub(super) fn joined(
    offer: &RecoveryOffer,
    terms: &RefinerTerms,
    lot: &Identifier,
) -> Option<RecoveryOffer> {
    let mut own = terms.clone();
    own.payment.assay_fee = None;
    own.payment.minimum_lot_charge = None;
    own.payment.freight = None;
    own.payment.return_freight = None;
    own.payment.least_silver_paid_for_ozt = None;
    own.payment.silver_deducted_ozt = None;
    if let Some(treatment) = &mut own.payment.treatment {
        treatment.per_lot = None;
    }
    if let Some(acceptance) = &mut own.acceptance {
        acceptance.minimum_mass_kg = None;
    }
    let name = Text::new(&format!("{}, the product added to {lot}", offer.name)).ok()?;
    Some(RecoveryOffer {
        name,
        terms: Some(own),
        ..offer.clone()
    })
}
