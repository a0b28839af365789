//! Restoring a working bath instead of giving its silver away.

use super::RestoreTerms;
use super::result::RestorePlan;
use crate::answer::{Method, Notes};
use crate::batch::{BatchKind, BatchStatus};
use crate::chemistry::constants::{SILVER, SILVER_NITRATE};
use crate::fault::{Fault, FaultKind};
use crate::procedure::{Addition, Refusal, Step};
use crate::quantity::{ComputedGrams, Exact, Identifier, SignedAmount, TooLarge};
use crate::substance::Group;
use crate::valuation::defaults::defaults;
use crate::valuation::{Load, Market, PreparedLot};
use crate::waste::pour::check_procedure;
use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive as _, ToPrimitive as _};

pub(super) const RESTORE: Method = Method {
    name: "worth of a restored bath",
    formula: "silver nitrate kept = silver x 169.8722 / 107.8682 (63.50 % silver); net = silver nitrate kept x its price - upkeep; to add = target strength x volume - silver nitrate kept",
    source: "iupac_atomic_weights",
};

/// Restoring, worked out in money.
pub(crate) struct Restored {
    pub plan: RestorePlan,
    pub net: SignedAmount,
    pub reason: String,
}

/// Whether every batch of the lot is a sensitizing bath at work.
pub(crate) fn is_working_bath(lot: &PreparedLot<'_>) -> bool {
    lot.batches.iter().all(|b| {
        b.batch.kind == BatchKind::SensitizingBath && b.batch.status == Some(BatchStatus::InUse)
    })
}

/// Works out restoring; the refusal of a blocked step takes its place.
pub(crate) fn restore(
    lot: &PreparedLot<'_>,
    load: &Load,
    market: &Market<'_>,
    gross: Decimal,
    terms: Option<&RestoreTerms>,
    at: &str,
    notes: &mut Notes,
) -> Result<Result<Restored, Refusal>, Fault> {
    let said_free = terms.and_then(|t| t.ammonium_free) == Some(true);
    if said_free && lot.batches.iter().any(|b| b.batch.states(Group::Ammonium)) {
        return Err(Fault::new(
            FaultKind::Conflict,
            format!("{at}/restore/ammonium_free"),
            "the composition names an ammonium salt: expected false, or none",
        ));
    }
    if terms.and_then(|t| t.ammonium_free).is_none() {
        notes.assume(
            "/restore",
            format!("{at}/restore/ammonium_free"),
            "house_rule",
            "Nobody said that no ammonium salt went through the bath, so no bicarbonate goes in: it would free ammonia, which takes hold of silver.",
        );
    }
    let steps = steps(said_free);
    for part in &lot.batches {
        if let Err(refusal) = check_procedure(part.batch, &steps) {
            return Ok(Err(refusal));
        }
    }
    notes.method("/restore", RESTORE);
    let strength = match terms.and_then(|t| t.target_strength_percent_w_v) {
        Some(given) => given.decimal(),
        None => {
            let figure = &defaults().bath_strength_percent_w_v;
            notes.assume(
                "/restore",
                format!("{at}/restore/target_strength_percent_w_v"),
                &figure.source,
                format!("The bath is brought back to {}.", figure.words()),
            );
            figure.value
        }
    };
    money(load, market, gross, strength, terms, steps, at, notes)
        .map(Ok)
        .map_err(|TooLarge| {
            Fault::out_of_range(
                format!("{at}/restore"),
                "the bath's money",
                "figures small enough for exact money",
            )
        })
}

#[expect(
    clippy::too_many_arguments,
    reason = "one call site; each argument is a different part of the sum"
)]
fn money(
    load: &Load,
    market: &Market<'_>,
    gross: Decimal,
    strength: Decimal,
    terms: Option<&RestoreTerms>,
    steps: Vec<Step>,
    at: &str,
    notes: &mut Notes,
) -> Result<Restored, TooLarge> {
    let currency = market.price.currency;
    let kept_g = silver_nitrate_of(load.silver_g)?;
    let kept = Exact::from(kept_g);
    let to_add = match load.volume_l {
        Some(volume) => Some(silver_nitrate_to_add(strength, volume, kept_g)?),
        None => None,
    };
    let upkeep = Exact::from(
        terms
            .and_then(|t| t.upkeep_cost)
            .unwrap_or(crate::quantity::Amount::ZERO),
    );
    let (worth, price) = match terms {
        Some(t) => {
            let price = Exact::from(t.bottle_price) / Exact::from(t.bottle_g.decimal());
            (kept * price, Some(price))
        }
        None => {
            notes.assume(
                "/restore",
                format!("{at}/restore"),
                "house_rule",
                "No price of silver nitrate was given: it is taken to cost no less than the silver in it.",
            );
            (Exact::from(gross), None)
        }
    };
    let net = SignedAmount::rounded((worth - upkeep).finish()?, currency);
    let cash = match (price, to_add) {
        (Some(price), Some(add)) => Some(SignedAmount::rounded(
            (price * Exact::from(add) + upkeep).finish()?,
            currency,
        )),
        _ => None,
    };
    let grams = |d: Decimal| ComputedGrams::of(d.to_f64().unwrap_or_default());
    let worth = SignedAmount::rounded(worth.finish()?, currency);
    let upkeep = SignedAmount::rounded(upkeep.finish()?, currency);
    let less = if upkeep.decimal().is_zero() {
        String::new()
    } else {
        format!(" The work costs {currency} {upkeep} besides, which leaves {currency} {net}.")
    };
    let outlay = match (price, to_add) {
        (Some(price), Some(add)) => format!(
            " Bringing it back to strength takes {:.1} g of silver nitrate, {currency} {}, which a new bath would take as well.",
            add.to_f64().unwrap_or_default(),
            SignedAmount::rounded((price * Exact::from(add)).finish()?, currency)
        ),
        _ => String::new(),
    };
    Ok(Restored {
        plan: RestorePlan {
            silver_nitrate_kept_g: grams(kept_g),
            silver_nitrate_to_add_g: to_add.map(grams),
            outlay: cash,
            steps,
        },
        net,
        reason: format!(
            "The bath is at work: restored, it keeps {:.1} g of silver nitrate worth {currency} {worth} that you would otherwise buy again.{less}{outlay}",
            kept_g.to_f64().unwrap_or_default()
        ),
    })
}

/// Silver nitrate, g, that holds so much silver.
pub(crate) fn silver_nitrate_of(silver_g: Decimal) -> Result<Decimal, TooLarge> {
    let molar = |m: f64| Decimal::from_f64(m).map(Exact::from).ok_or(TooLarge);
    (Exact::from(silver_g) * molar(SILVER_NITRATE)? / molar(SILVER)?).finish()
}

/// Silver nitrate, g, that brings a bath of so many litres to a strength in % w/v; none where it is
/// there already.
pub(crate) fn silver_nitrate_to_add(
    strength: Decimal,
    volume_l: Decimal,
    kept_g: Decimal,
) -> Result<Decimal, TooLarge> {
    (Exact::from(strength) * Exact::from(Decimal::TEN) * Exact::from(volume_l)
        - Exact::from(kept_g))
    .at_least(Exact::ZERO)
    .finish()
}

fn addition(name: &str) -> Option<Addition> {
    Some(Addition {
        substance: Identifier::new(name).ok()?,
        mass_g: None,
        volume_ml: None,
    })
}

fn adding(step: Step, name: &str) -> Step {
    match addition(name) {
        Some(a) => step.adding(a),
        None => step,
    }
}

const GOGGLES: &str =
    "Goggles, gloves, and water for the eyes within reach: silver nitrate blinds and stains.";

/// What restores a bath. Bicarbonate goes only into one that never held ammonium: out of the acid it
/// frees ammonia, which takes hold of silver.
fn steps(ammonium_free: bool) -> Vec<Step> {
    let sun = if !ammonium_free {
        Step::new(
            "Without bicarbonate: stand the bath as it is, acid and loosely covered, in the sun for some days. Bicarbonate is only for a bath that no ammonium salt ever went through.",
        )
    } else {
        adding(
            Step::new(
                "Add a thin solution of bicarbonate drop by drop, stirring, until a faint haze stays, and stand the bottle loosely covered in the sun for a day or more.",
            ),
            "sodium_bicarbonate",
        )
    };
    vec![
        Step::new("Filter the bath through cotton or paper into a clean glass bottle; keep the filter, it holds silver.")
            .caution(GOGGLES)
            .done_when("No specks against the light."),
        sun
            .caution("Never ammonia: silver with ammonia can explode on standing.")
            .caution("Never heat or boil it and never close it tight: it may hold alcohol and ether, and gas must get out.")
            .done_when("The dark sediment has settled and the liquid above is clear."),
        Step::new("Filter again; keep the filter with the other silver waste.").caution(GOGGLES),
        adding(
            Step::new("Measure the strength and add silver nitrate to bring it back.")
                .caution(GOGGLES)
                .done_when("The strength is what your process wants."),
            "silver_nitrate",
        ),
        adding(
            Step::new("Cold, add nitric acid diluted to 5 % or less, drop by drop, until pH paper reads about 4.")
                .caution("Dilute and cold only, a drop at a time: strong acid never goes into a bath that holds alcohol or ether.")
                .caution(GOGGLES)
                .done_when("A trial plate or print is clean, without fog."),
            "nitric_acid_dilute",
        ),
    ]
}
