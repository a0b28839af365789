//! Turns the flat list of rules into the parts that a classification reads. What a rule of a kind
//! needs is asked here, and here alone.

use super::RuleSet;
use super::rule::{Comparison, RuleQuantity, RuleUnit};
use super::rules::{
    CategoryRule, ClockRule, ClockStart, Corrosivity, DilutionBranch, DischargeLimit, DutyRule,
    HazardCutOff, HazardRule, Ignitability, InspectionRule, ListChoiceRule, ListRule, MaterialRule,
    OxidizerFrom, PaperRule, Reactivity, RecoveryHereRule, RuleSentence, SpeculativeAccumulation,
    SpentSolvent, TotalsScreen, ToxicityLimit, TreatmentRule, UnusedProduct,
};
use super::seen::Seen;
use crate::fault::{Fault, FaultKind};
use crate::quantity::Quantity;
use crate::waste::classification::Property;
use RuleUnit as In;

const EQUAL_IS_OVER: &[Comparison] = &[Comparison::AtOrAbove];

/// Sorts every rule into `set`; `places` are the rules' pointers, empty for rules of the base.
pub(super) fn compile(set: &mut RuleSet, places: &[String]) -> Vec<Fault> {
    let rules = std::mem::take(&mut set.rules);
    let mut faults = Vec::new();
    for quantity in [true, false] {
        for (i, rule) in rules.iter().enumerate() {
            // Categories first: what belongs to one looks for it.
            if (rule.quantity == RuleQuantity::GeneratorCategory) != quantity {
                continue;
            }
            let at = places.get(i).map_or("", String::as_str);
            let mut seen = Seen {
                rule,
                at,
                faults: Vec::new(),
            };
            let _ = sort(set, &mut seen);
            for (k, category) in rule.categories.iter().enumerate() {
                if !set.category.iter().any(|c| c.id == *category) {
                    seen.faults.push(Fault::new(
                        FaultKind::Unknown,
                        format!("{at}/categories/{k}"),
                        format!(
                            "`{category}` is not a category of these rules: expected one of [{}]",
                            set.category
                                .iter()
                                .map(|c| c.id.as_str())
                                .collect::<Vec<_>>()
                                .join(", ")
                        ),
                    ));
                }
            }
            faults.append(&mut seen.faults);
        }
    }
    set.rules = rules;
    faults
}

/// `None` where something was missing, which is then among the faults.
#[expect(clippy::too_many_lines, reason = "one arm for each kind of rule")]
fn sort(set: &mut RuleSet, s: &mut Seen<'_>) -> Option<()> {
    let r = s.rule;
    let rule = r.authority();
    match r.quantity {
        RuleQuantity::ElementInExtract => {
            s.compared(EQUAL_IS_OVER, "at_or_above");
            let (code, element, limit) = (
                s.code(),
                s.element(),
                s.value(In::MilligramsPerLitre, "mg/L"),
            );
            set.toxicity.push(ToxicityLimit {
                code: code?,
                element: element?,
                limit_mg_per_l: limit?,
                rule,
            });
        }
        RuleQuantity::TotalOverExtract => {
            set.totals_screen = Some(TotalsScreen {
                dilution_factor: s.value(In::LitresPerKilogram, "L/kg")?,
                rule,
            });
        }
        RuleQuantity::FlashPoint => {
            s.compared(&[Comparison::Below], "below");
            let (code, limit) = (s.code(), s.value(In::DegreesCelsius, "°C"));
            set.ignitability = Some(Ignitability {
                code: code?,
                flash_point_below_c: limit?,
                alcohol_below_percent_v_v: None,
                rule,
                oxidizer: None,
                oxidizer_from: Vec::new(),
            });
        }
        RuleQuantity::AlcoholShare => {
            let share = s.value(In::PercentVolume, "% v/v")?;
            after(s, set.ignitability.as_mut(), "flash_point")?.alcohol_below_percent_v_v =
                Some(share);
        }
        RuleQuantity::Oxidizer => {
            let code = s.code()?;
            let Some(substance) = r.substance.clone() else {
                after(s, set.ignitability.as_mut(), "flash_point")?.oxidizer = Some((code, rule));
                return Some(());
            };
            s.compared(EQUAL_IS_OVER, "at_or_above");
            let from_percent_w_w = s.value(In::PercentWeight, "% w/w")?;
            let ignitable = after(s, set.ignitability.as_mut(), "flash_point")?;
            ignitable.oxidizer_from.push(OxidizerFrom {
                substance,
                from_percent_w_w,
                rule,
            });
        }
        RuleQuantity::Ph => ph(set, s, rule)?,
        RuleQuantity::ToxicGas => {
            let (code, words) = (s.code(), s.words());
            set.reactivity = Some(Reactivity {
                code: code?,
                words: words?,
                rule,
                hazards: r.hazards.clone(),
                explosive: None,
            });
        }
        RuleQuantity::Explosive => {
            let code = s.code()?;
            after(s, set.reactivity.as_mut(), "toxic_gas")?.explosive = Some((code, rule));
        }
        RuleQuantity::UnusedProduct
        | RuleQuantity::IgnitableProduct
        | RuleQuantity::ReactiveProduct => {
            let (property, words) = match r.quantity {
                RuleQuantity::IgnitableProduct => (Property::Ignitable, s.words()),
                RuleQuantity::ReactiveProduct => (Property::Reactive, s.words()),
                _ => (Property::Listed, Some(String::new())),
            };
            let code = s.code();
            let substance = s.text("substance", r.substance.as_ref(), "the id of a substance");
            set.unused_product.push(UnusedProduct {
                code: code?,
                substance: substance?,
                acute: r.acute.unwrap_or(false),
                property,
                words: words?,
                rule,
            });
        }
        RuleQuantity::SpentSolvent => {
            set.spent_solvent = Some(SpentSolvent {
                code: s.code()?,
                rule,
            });
        }
        RuleQuantity::HazardSum | RuleQuantity::HazardSingle => {
            s.compared(EQUAL_IS_OVER, "at_or_above");
            s.some(
                "hazards",
                &r.hazards,
                "hazard statements, such as \"H314 1B\"",
            );
            let (code, limit) = (s.code(), s.value(In::PercentWeight, "% w/w"));
            let weight = |i: usize| r.weights.get(i).copied().unwrap_or(1);
            set.hazard.push(HazardRule {
                code: code?,
                hazards: r
                    .hazards
                    .iter()
                    .cloned()
                    .enumerate()
                    .map(|(i, h)| (h, weight(i)))
                    .collect(),
                summed: r.quantity == RuleQuantity::HazardSum,
                limit_percent_w_w: limit?,
                rule,
            });
        }
        RuleQuantity::HazardCutOff => {
            s.compared(&[Comparison::Below], "below");
            s.some(
                "hazards",
                &r.hazards,
                "hazard statements, such as \"H314 1B\"",
            );
            let (code, limit) = (s.code(), s.value(In::PercentWeight, "% w/w"));
            set.hazard_cut_off.push(HazardCutOff {
                code: code?,
                hazards: r.hazards.clone(),
                below_percent_w_w: limit?,
            });
        }
        RuleQuantity::ListOfWaste => {
            s.some("kinds", &r.kinds, "kinds of container, such as fixer");
            if r.entry.is_none() {
                s.missing("entry", "hazardous, mirror or not_hazardous");
            }
            let (code, title) = (s.code(), s.words());
            set.list.push(ListRule {
                code: code?,
                title: title?,
                entry: r.entry?,
                kinds: r.kinds.clone(),
                statuses: r.statuses.clone(),
                rule,
            });
        }
        RuleQuantity::ListChoice => {
            s.some(
                "kinds",
                &r.kinds,
                "kinds of container, such as sensitizing_bath",
            );
            let text = s.words()?;
            set.list_choice.push(ListChoiceRule {
                text,
                kinds: r.kinds.clone(),
                rule,
            });
        }
        RuleQuantity::GeneratorCategory => {
            // The category names itself, so that others may name it.
            let (id, title) = (s.category(), s.words());
            set.category.push(CategoryRule {
                id: id?,
                title: title?,
                acute_above_kg: None,
                acute_residue_above_kg: None,
                hazardous_at_or_above_kg: None,
                hazardous_above_kg: None,
                rule,
            });
        }
        RuleQuantity::HazardousWastePerMonth
        | RuleQuantity::AcuteWastePerMonth
        | RuleQuantity::AcuteResiduePerMonth => {
            month(set, s)?;
        }
        RuleQuantity::DaysKept => clock(set, s, rule)?,
        RuleQuantity::WasteOnSite => {
            let (category, most) = (s.category(), s.value(In::Kilograms, "kg"));
            let (category, most) = (category?, most?);
            for clock in set
                .clock
                .iter_mut()
                .filter(|c| c.category == category && !c.acute)
            {
                clock.most_on_site_kg = Some(most);
            }
        }
        RuleQuantity::DaysBetweenInspections => {
            s.compared(&[Comparison::AtOrBelow], "at_or_below");
            set.inspection.push(InspectionRule {
                categories: r.categories.clone(),
                every_day_count: s.days()?,
                rule,
            });
        }
        RuleQuantity::Duty | RuleQuantity::Mark => {
            let duty = DutyRule {
                when: r.when.unwrap_or_default(),
                categories: r.categories.clone(),
                text: s.words()?,
                words: r.words.clone(),
                rule,
            };
            if r.quantity == RuleQuantity::Duty {
                set.duty.push(duty);
            } else {
                set.mark.push(duty);
            }
        }
        RuleQuantity::Paper => {
            let text = s.words();
            let keep = s.text("keep_for", r.keep_for.as_ref(), "how long it is kept");
            set.paper.push(PaperRule {
                when: r.when.unwrap_or_default(),
                categories: r.categories.clone(),
                text: text?,
                keep_for: keep?,
                rule,
            });
        }
        RuleQuantity::Never => set.never.push(RuleSentence {
            text: s.words()?,
            rule,
        }),
        RuleQuantity::Dilution => {
            set.dilution = Some(DilutionBranch {
                branch: s.words()?,
                rule,
            })
        }
        RuleQuantity::Mixing => {
            set.mixing = Some(RuleSentence {
                text: s.words()?,
                rule,
            })
        }
        RuleQuantity::Household => {
            set.household = Some(RuleSentence {
                text: s.words()?,
                rule,
            })
        }
        RuleQuantity::School => {
            set.school = Some(RuleSentence {
                text: s.words()?,
                rule,
            })
        }
        RuleQuantity::RecoveryHere => {
            set.recovery_here = Some(RecoveryHereRule {
                allowed: r.allowed,
                text: s.words()?,
                rule,
            });
        }
        RuleQuantity::StockMoved => {
            set.speculative = Some(SpeculativeAccumulation {
                share_percent: s.value(In::Percent, "%")?,
                rule,
            });
        }
        RuleQuantity::Treatment => {
            let at_most_l = match r.value {
                Some(_) => {
                    s.compared(&[Comparison::AtOrBelow], "at_or_below");
                    Some(s.value(In::Litres, "L")?)
                }
                None => None,
            };
            set.treatment.push(TreatmentRule {
                name: r.applies_to.clone(),
                text: s.words()?,
                allowed: r.allowed,
                only_property: r.only_property,
                only_codes: r.only_codes.clone(),
                at_most_l,
                rule,
            });
        }
        RuleQuantity::Material => {
            if r.material.is_none() {
                s.missing(
                    "material",
                    "spent_material, sludge, by_product, unused_product or scrap_metal",
                );
            }
            let text = s.words();
            set.material.push(MaterialRule {
                kind: r.material?,
                text: text?,
                rule,
            });
        }
        RuleQuantity::DischargeLimit => discharge(set, s, rule)?,
    }
    Some(())
}

/// The part that an earlier rule made.
fn after<'a, T>(s: &mut Seen<'_>, part: Option<&'a mut T>, earlier: &str) -> Option<&'a mut T> {
    if part.is_none() {
        s.faults.push(Fault::new(
            FaultKind::Conflict,
            format!("{}/quantity", s.at),
            format!("it stands alone: expected a rule of quantity {earlier} before it"),
        ));
    }
    part
}

fn ph(set: &mut RuleSet, s: &mut Seen<'_>, rule: &'static super::Authority) -> Option<()> {
    let way = s.compared(
        &[Comparison::AtOrBelow, Comparison::AtOrAbove],
        "at_or_below, then at_or_above",
    );
    let (code, limit) = (s.code(), s.value(In::Ph, "pH"));
    let (code, limit) = (code?, limit?);
    match way? {
        Comparison::AtOrBelow => {
            set.corrosivity = Some(Corrosivity {
                code,
                at_or_below_ph: limit,
                at_or_above_ph: Quantity::parse("16").ok()?,
                indicative: s.rule.indicative.unwrap_or(false),
                rule,
            });
        }
        _ => after(s, set.corrosivity.as_mut(), "ph with at_or_below")?.at_or_above_ph = limit,
    }
    Some(())
}

fn month(set: &mut RuleSet, s: &mut Seen<'_>) -> Option<()> {
    let way = s.compared(
        &[Comparison::Above, Comparison::AtOrAbove],
        "above or at_or_above",
    );
    let (id, kg) = (s.category(), s.value(In::KilogramsPerMonth, "kg/month"));
    let (way, id, kg) = (way?, id?, kg?);
    let category = set.category.iter_mut().find(|c| c.id == id)?;
    match (s.rule.quantity, way) {
        (RuleQuantity::HazardousWastePerMonth, Comparison::AtOrAbove) => {
            category.hazardous_at_or_above_kg = Some(kg)
        }
        (RuleQuantity::HazardousWastePerMonth, _) => category.hazardous_above_kg = Some(kg),
        (_, Comparison::AtOrAbove) => {
            s.faults.push(Fault::new(
                FaultKind::Conflict,
                format!("{}/comparison", s.at),
                "acute waste is counted from above its limit: expected above",
            ));
        }
        (RuleQuantity::AcuteWastePerMonth, _) => category.acute_above_kg = Some(kg),
        _ => category.acute_residue_above_kg = Some(kg),
    }
    Some(())
}

fn clock(set: &mut RuleSet, s: &mut Seen<'_>, rule: &'static super::Authority) -> Option<()> {
    let r = s.rule;
    s.compared(&[Comparison::AtOrBelow], "at_or_below");
    let (category, days) = (s.category(), s.days());
    let (category, days) = (category?, days?);
    if let Some(km) = r.haul_more_than_km {
        let near = set
            .clock
            .iter_mut()
            .find(|c| c.category == category && !c.acute);
        let near = after(s, near, "days_kept for the short haul")?;
        near.haul_more_than_km = Some(km);
        near.far_limit_day_count = Some(days);
        near.far_rule = Some(rule);
        return Some(());
    }
    if r.starts.is_none() {
        s.missing("starts", "waste_since or limit_exceeded_on");
    }
    set.clock.push(ClockRule {
        category,
        starts: r.starts.unwrap_or(ClockStart::WasteSince),
        acute: r.acute.unwrap_or(false),
        trigger: r.trigger.clone(),
        limit_day_count: days,
        haul_more_than_km: None,
        far_limit_day_count: None,
        most_on_site_kg: None,
        rule,
        far_rule: None,
    });
    Some(())
}

fn discharge(set: &mut RuleSet, s: &mut Seen<'_>, rule: &'static super::Authority) -> Option<()> {
    let r = s.rule;
    let comparison = s.compared(
        &[Comparison::AtOrBelow, Comparison::Below],
        "at_or_below or below",
    );
    let (element, limit) = (s.element(), s.value(In::MilligramsPerLitre, "mg/L"));
    let point = s.text(
        "sampling_point",
        r.sampling_point.as_ref(),
        "where it is measured",
    );
    let averaging = s.text(
        "averaging",
        r.averaging.as_ref(),
        "over what time it is averaged, such as \"grab sample\"",
    );
    if r.dilution_allowed.is_none() {
        s.missing(
            "dilution_allowed",
            "whether other water may thin it before that point, true or false",
        );
    }
    set.discharge_limit.push(DischargeLimit {
        element: element?,
        limit_mg_per_l: limit?,
        comparison: comparison?,
        applies_to: r.applies_to.clone(),
        kinds: r.kinds.clone(),
        sampling_point: point?,
        averaging: averaging?,
        dilution_allowed: r.dilution_allowed?,
        rule,
    });
    Some(())
}
