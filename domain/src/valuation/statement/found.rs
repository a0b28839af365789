//! What a check found: the verdict, and the reasons in words.

use super::money::Money;
use super::request::SettlementCheckRequest;
use super::result::{AssayFinding, SettlementVerdict, SilverDifference, UmpireCost};
use crate::quantity::{ComputedGrams, PercentWW, nearest_double, write_decimal, write_significant};
use crate::valuation::defaults::defaults;

/// What was found, before it is put into words.
pub(super) struct Found<'a> {
    silver: &'a SilverDifference,
    assays: Option<&'a AssayFinding>,
    money: &'a Money,
    /// The assays lie outside the limit, and there is no umpire's.
    needs_umpire: bool,
    /// The statement's silver is not that of the assay that settles.
    not_by_the_assay: bool,
    too_uncertain: bool,
    /// Nothing of the statement's money was given.
    money_unseen: bool,
}

impl<'a> Found<'a> {
    pub fn of(
        request: &SettlementCheckRequest,
        silver: &'a SilverDifference,
        assays: Option<&'a AssayFinding>,
        money: &'a Money,
    ) -> Self {
        let limit = nearest_double(defaults().measure_first_uncertainty_percent.value);
        let settling = assays.and_then(|a| a.settling_silver_g);
        let not_by_the_assay = settling.is_some_and(|grams| {
            let apart = request
                .reported_silver_g
                .decimal()
                .saturating_sub(grams.decimal());
            let worth = request.price.value_of(apart.abs());
            worth.is_none_or(|w| w > money.check.rounding_allowed.decimal())
        });
        Self {
            silver,
            assays,
            money,
            needs_umpire: assays.is_some_and(|a| a.settling_percent_w_w.is_none()),
            not_by_the_assay,
            too_uncertain: silver.expected_standard_uncertainty_g.get()
                >= silver.expected_g.get() * limit / 100.0,
            money_unseen: request.statement.as_ref().is_none_or(|s| {
                s.gross_value.is_none()
                    && s.deductions.is_empty()
                    && s.net_paid.is_none()
                    && s.net_billed.is_none()
            }),
        }
    }

    /// The umpire's assay settles, and the statement is not shown to be by it.
    fn umpire_settles(&self) -> bool {
        self.assays.is_some_and(|a| {
            !a.within
                && a.settling_percent_w_w.is_some()
                && (a.settling_silver_g.is_none() || self.not_by_the_assay)
        })
    }

    fn money_differs(&self) -> bool {
        self.money.differs || (self.not_by_the_assay && self.assays.is_some_and(|a| a.within))
    }

    pub fn verdict(&self) -> SettlementVerdict {
        if self.needs_umpire {
            SettlementVerdict::AskForUmpire
        } else if self.umpire_settles() {
            SettlementVerdict::UmpireSettles
        } else if self.silver.beyond_chance {
            SettlementVerdict::SilverDiffers
        } else if self.money_differs() {
            SettlementVerdict::MoneyDiffers
        } else if self.too_uncertain {
            SettlementVerdict::TooUncertain
        } else if self.money_unseen {
            SettlementVerdict::SilverAgrees
        } else {
            SettlementVerdict::Agrees
        }
    }

    /// Whether something is asked of the refiner for the sake of this finding.
    pub fn asks_about(&self, verdict: SettlementVerdict) -> bool {
        match verdict {
            SettlementVerdict::AskForUmpire => self.needs_umpire,
            SettlementVerdict::SilverDiffers => {
                self.silver.beyond_chance && self.silver.difference_g.get() < 0.0
            }
            SettlementVerdict::MoneyDiffers => self.money_differs(),
            SettlementVerdict::UmpireSettles
            | SettlementVerdict::TooUncertain
            | SettlementVerdict::SilverAgrees
            | SettlementVerdict::Agrees => false,
        }
    }

    /// Why, the gravest first.
    pub fn reasons(&self, request: &SettlementCheckRequest) -> Vec<String> {
        let mut out = Vec::new();
        out.extend(self.assays.map(|a| self.of_assays(a, request)));
        out.push(self.of_silver());
        if self.silver.beyond_chance && self.assays.is_some_and(|a| a.within) {
            out.push("The assays agree within the splitting limit, so the difference lies in the mass, the moisture, the melt loss or your own figure.".to_owned());
        }
        if self.too_uncertain && !self.silver.beyond_chance {
            out.push("Your own figure is too poor to check a refiner with: an assay or a titration before the next shipment would be.".to_owned());
        }
        out.extend(self.money.reasons.iter().cloned());
        if self.money_unseen {
            out.push("The statement's money was not given: nothing was compared but the silver. Give its gross value, each deduction and what was paid.".to_owned());
        }
        // What decides the verdict stands first.
        if self.verdict() == SettlementVerdict::MoneyDiffers && self.money.differs {
            let first = out.len().saturating_sub(self.money.reasons.len());
            out.rotate_left(first);
        } else if self.verdict() == SettlementVerdict::TooUncertain {
            out.sort_by_key(|r| !r.starts_with("Your own figure"));
        } else if self.verdict() == SettlementVerdict::SilverDiffers && self.assays.is_some() {
            out.swap(0, 1);
        }
        out
    }

    fn of_silver(&self) -> String {
        let s = self.silver;
        let grams = |g: ComputedGrams| write_significant(g.get().abs(), 4);
        let words = if s.difference_g.get() < 0.0 {
            "less"
        } else {
            "more"
        };
        let ratio = s
            .standardized_difference
            .map_or_else(String::new, |z| format!(", {:.1} times it", z.get().abs()));
        if s.beyond_chance {
            let then = if s.difference_g.get() < 0.0 {
                ""
            } else {
                " It is in your favour: look at your own record of what was sent."
            };
            format!(
                "The refiner reports {} g of silver {words} than was sent, beyond the uncertainty of both figures ({} g{ratio}).{then}",
                grams(s.difference_g),
                grams(s.standard_uncertainty_g)
            )
        } else {
            format!(
                "The silver agrees: {} g {words} than was sent, within the uncertainty of both figures ({} g{ratio}).",
                grams(s.difference_g),
                grams(s.standard_uncertainty_g)
            )
        }
    }

    fn of_assays(&self, a: &AssayFinding, request: &SettlementCheckRequest) -> String {
        let percent = |p: PercentWW| write_decimal(p.decimal());
        let apart = format!(
            "The assays lie {} percentage points of silver apart",
            percent(a.apart_percent_w_w)
        );
        let limit = percent(a.splitting_limit_percent_w_w);
        let not_by_it = match a.settling_silver_g.filter(|_| self.not_by_the_assay) {
            Some(grams) => format!(
                " The statement is not by it: {} g of the dry mass, and {} g reported.",
                write_decimal(grams.decimal().round_dp(3)),
                write_decimal(request.reported_silver_g.decimal())
            ),
            None if a.settling_silver_g.is_none() => {
                " With the dry mass the silver by it can be told.".to_owned()
            }
            None => String::new(),
        };
        match (a.within, a.settling_percent_w_w) {
            (true, Some(mean)) => format!(
                "{apart}, within the splitting limit of {limit}: their mean, {} %, settles.{not_by_it}",
                percent(mean)
            ),
            (false, Some(umpire)) => {
                let pays = match a.umpire_cost {
                    Some(UmpireCost::You) => "You are further from it, and pay for it",
                    Some(UmpireCost::Refiner) => "The refiner is further from it, and pays for it",
                    _ => "You are both equally far from it, and share its cost",
                };
                format!(
                    "{apart}, outside the splitting limit of {limit}: the umpire's {} % settles. {pays}, by common practice.{not_by_it}",
                    percent(umpire)
                )
            }
            _ => format!(
                "{apart}, outside the splitting limit of {limit}: neither settles. Ask for the umpire assay; by common practice the party further from it pays."
            ),
        }
    }
}
