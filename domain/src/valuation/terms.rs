//! A refiner's and a haulier's terms, as data.

use crate::batch::LotForm;
use crate::fault::{Fault, FaultKind, at_most};
use crate::quantity::{Amount, Currency, Kilograms, Percent, Text, TroyOunces};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::LazyLock;

/// Most surcharges one set of terms may list.
pub const MOST_SURCHARGES: usize = 50;

/// What a refiner asks about besides silver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Constituent {
    /// Cyanide.
    Cyanide,
    /// Mercury.
    Mercury,
    /// Ammonia.
    Ammonia,
    /// Cadmium, as iodizers carry it into collodion waste.
    Cadmium,
    /// Selenium.
    Selenium,
    /// Lead.
    Lead,
    /// Chromate and dichromate.
    Chromate,
}

impl Constituent {
    /// Every constituent.
    pub const ALL: [Self; 7] = [
        Self::Cyanide,
        Self::Mercury,
        Self::Ammonia,
        Self::Cadmium,
        Self::Selenium,
        Self::Lead,
        Self::Chromate,
    ];

    /// The constituent in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cyanide => "cyanide",
            Self::Mercury => "mercury",
            Self::Ammonia => "ammonia",
            Self::Cadmium => "cadmium",
            Self::Selenium => "selenium",
            Self::Lead => "lead",
            Self::Chromate => "chromate",
        }
    }
}

/// Most of a constituent that a refiner takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct ConstituentLimit {
    /// What is limited.
    pub constituent: Constituent,
    /// The most of it by mass; a lot above this is refused.
    pub most_percent: Percent,
}

/// What a refiner takes at all. Every member is optional: what is not said is not asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Acceptance {
    /// Forms taken; absent means any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub forms: Option<Vec<LotForm>>,
    /// Least mass of a lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minimum_mass_kg: Option<Kilograms>,
    /// Greatest mass of a lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maximum_mass_kg: Option<Kilograms>,
    /// Greatest moisture of a solid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maximum_moisture_percent: Option<Percent>,
    /// Whether a solid may stand in free liquid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_liquid_allowed: Option<bool>,
    /// Constituents that are refused whatever their amount; absent means cyanide, mercury and ammonia.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<Vec<Constituent>>,
    /// Constituents taken up to a limit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub limits: Vec<ConstituentLimit>,
    /// Whether a sample must be approved before the lot is sent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub approval_sample_needed: Option<bool>,
}

/// What one charge is counted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ChargeBasis {
    /// Once for the lot.
    Lot,
    /// For each container.
    Container,
    /// For each kilogram as received.
    Kilogram,
    /// For each troy ounce of material as received (not of silver).
    TroyOunceReceived,
}

/// A charge beside the ordinary ones.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Surcharge {
    /// What it is called on the schedule.
    pub name: Text,
    /// The charge.
    pub amount: Amount,
    /// What it is counted by.
    pub per: ChargeBasis,
    /// The constituent whose presence brings it; absent means always.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Constituent>,
}

/// What a refiner charges to treat a lot; the parts add.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct TreatmentCharge {
    /// Once for the lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_lot: Option<Amount>,
    /// For each kilogram as received.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_kilogram: Option<Amount>,
    /// For each litre as received.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_litre: Option<Amount>,
    /// For each troy ounce of material as received.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_troy_ounce_received: Option<Amount>,
}

/// What a refiner pays and charges.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Payment {
    /// The share of the silver (after `silver_deducted_ozt`) that is paid for.
    pub payable_percent: Percent,
    /// Silver taken off before the payable share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub silver_deducted_ozt: Option<TroyOunces>,
    /// Below this nothing is paid for silver.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_silver_paid_for_ozt: Option<TroyOunces>,
    /// Treatment charge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub treatment: Option<TreatmentCharge>,
    /// Refining charge for each troy ounce of silver paid for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refining_per_troy_ounce: Option<Amount>,
    /// Assay fee for the lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub assay_fee: Option<Amount>,
    /// Least that treatment and refining together cost for one lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minimum_lot_charge: Option<Amount>,
    /// Further charges; they come on top of the minimum.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub surcharges: Vec<Surcharge>,
    /// Freight to the refiner.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub freight: Option<Amount>,
    /// Freight of the empty containers back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub return_freight: Option<Amount>,
    /// Days from arrival to settlement.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settlement_day_count: Option<u16>,
}

/// A refiner's terms.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct RefinerTerms {
    /// What the person calls this refiner or schedule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Text>,
    /// Currency of every amount in these terms.
    pub currency: Currency,
    /// What the refiner takes at all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub acceptance: Option<Acceptance>,
    /// What the refiner pays and charges.
    pub payment: Payment,
}

/// What a licensed haulier charges to take waste away.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct HaulageTerms {
    /// What the person calls this haulier.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Text>,
    /// Currency of every amount in these terms.
    pub currency: Currency,
    /// For coming at all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub call_out: Option<Amount>,
    /// For each container.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_container: Option<Amount>,
    /// For each kilogram.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_kilogram: Option<Amount>,
    /// Least that call-out, containers and kilograms together cost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minimum: Option<Amount>,
    /// Further charges; they come on top of the minimum.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub surcharges: Vec<Surcharge>,
    /// Analysis the haulier asks for, for the whole collection.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub analysis: Option<Amount>,
    /// Days from the call to the collection.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lead_time_day_count: Option<u16>,
    /// Whether a public collection may take it without charge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_municipal_collection: Option<bool>,
}

impl RefinerTerms {
    /// What the refiner takes: anything, where nothing is said of it.
    pub(crate) fn accepts(&self) -> &Acceptance {
        static ANYTHING: LazyLock<Acceptance> = LazyLock::new(Acceptance::default);
        self.acceptance.as_ref().unwrap_or(&ANYTHING)
    }

    /// Checks what no single field can. Pointers start at `at`.
    #[must_use]
    pub fn faults(&self, at: impl fmt::Display) -> Vec<Fault> {
        let mut faults = Vec::new();
        if let Some(a) = &self.acceptance {
            if let (Some(least), Some(most)) = (a.minimum_mass_kg, a.maximum_mass_kg)
                && least > most
            {
                faults.push(Fault::new(
                    FaultKind::Conflict,
                    format!("{at}/acceptance/maximum_mass_kg"),
                    "the greatest mass is below the least: expected maximum_mass_kg of at least minimum_mass_kg",
                ));
            }
            let lists = [
                ("forms", a.forms.as_ref().map_or(0, Vec::len)),
                ("refused", a.refused.as_ref().map_or(0, Vec::len)),
                ("limits", a.limits.len()),
            ];
            faults.extend(lists.iter().filter_map(|(name, length)| {
                at_most(
                    format_args!("{at}/acceptance/{name}"),
                    *length,
                    MOST_SURCHARGES,
                )
                .err()
            }));
            if a.forms.as_ref().is_some_and(Vec::is_empty) {
                faults.push(Fault::missing(
                    format!("{at}/acceptance/forms"),
                    "at least one form, or no such member if every form is taken",
                ));
            }
        }
        faults.extend(
            at_most(
                format_args!("{at}/payment/surcharges"),
                self.payment.surcharges.len(),
                MOST_SURCHARGES,
            )
            .err(),
        );
        faults
    }
}

impl HaulageTerms {
    /// Checks what no single field can. Pointers start at `at`.
    #[must_use]
    pub fn faults(&self, at: impl fmt::Display) -> Vec<Fault> {
        at_most(
            format_args!("{at}/surcharges"),
            self.surcharges.len(),
            MOST_SURCHARGES,
        )
        .err()
        .into_iter()
        .collect()
    }
}
