//! What a refiner pays and charges for an accepted lot, every line on its own.

use super::terms::{ChargeBasis, Constituent, Payment, RefinerTerms, Surcharge};
use crate::answer::Method;
use crate::quantity::{
    Amount, Currency, Exact, MetalPrice, Plain, PriceUnit, SignedAmount, TROY_OUNCE_G, TooLarge,
};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

pub(crate) const SETTLEMENT: Method = Method {
    name: "settlement of a lot",
    formula: "net = silver x price - silver not paid for - charges; 1 ozt = 31.1034768 g; worths and charges are each rounded half away from zero to the minor unit, and the net is the sum of the rounded lines",
    source: "refiner_schedules",
};

/// What a line of a settlement or of a haulier's bill is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum LineItem {
    /// Silver taken off before the payable share.
    SilverDeducted,
    /// Silver below the least that is paid for.
    SilverBelowLeast,
    /// The share of the silver that is not paid.
    SilverNotPayable,
    /// Treatment, once.
    TreatmentPerLot,
    /// Treatment by mass.
    TreatmentPerKilogram,
    /// Treatment by volume.
    TreatmentPerLitre,
    /// Treatment by troy ounce received.
    TreatmentPerTroyOunce,
    /// Refining of the silver paid for.
    Refining,
    /// What is missing to the least charge.
    MinimumTopUp,
    /// Assay or analysis.
    Assay,
    /// A surcharge.
    Surcharge,
    /// Freight.
    Freight,
    /// Freight of the empties back.
    ReturnFreight,
    /// A haulier's call-out.
    CallOut,
    /// A haulier's charge by container.
    PerContainer,
    /// A haulier's charge by mass.
    PerKilogram,
    /// What a refiner settles for a product recovered here.
    ProductSettlement,
    /// Reagents, power and wear of recovery here.
    RecoveryCost,
    /// Hauling away what recovery leaves.
    ResidueHaulage,
}

impl LineItem {
    /// What a line is for, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::SilverDeducted => "silver the refiner keeps before the payable share",
            Self::SilverBelowLeast => "silver below the least that is paid for",
            Self::SilverNotPayable => "silver that is not paid",
            Self::TreatmentPerLot => "treatment of the lot",
            Self::TreatmentPerKilogram | Self::PerKilogram => "treatment by mass",
            Self::TreatmentPerLitre => "treatment by volume",
            Self::TreatmentPerTroyOunce => "treatment by troy ounce received",
            Self::Refining => "refining of the silver paid for",
            Self::MinimumTopUp => "topping up to the lot minimum",
            Self::Assay => "assay",
            Self::Surcharge => "surcharge",
            Self::Freight => "freight to the refiner",
            Self::ReturnFreight => "freight of the empties back",
            Self::CallOut => "call-out",
            Self::PerContainer => "charge by the container",
            Self::ProductSettlement => "settlement of a recovered product",
            Self::RecoveryCost => "cost of recovery here",
            Self::ResidueHaulage => "hauling away what recovery leaves",
        }
    }
}

/// One line of money, with how it came about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct MoneyLine {
    /// What it is for.
    pub item: LineItem,
    /// The same in words.
    pub label: Cow<'static, str>,
    /// How it was worked out, such as "4.91 ozt x 0.95".
    pub basis: Cow<'static, str>,
    /// The amount, rounded to the minor unit.
    pub amount: SignedAmount,
}

/// How a charge is shared back to the batches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ShareBy {
    Silver,
    Mass,
    Volume,
    Container,
    Holders(Constituent),
}

/// What is being settled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Load {
    pub silver_g: Decimal,
    pub mass_kg: Option<Decimal>,
    pub volume_l: Option<Decimal>,
    pub container_count: usize,
    /// What is in it besides silver, and in how many containers.
    pub present: Vec<(Constituent, usize)>,
}

impl Load {
    /// Containers that a surcharge is about; none when its constituent is absent.
    pub fn containers_for(&self, surcharge: &Surcharge) -> usize {
        match surcharge.when {
            None => self.container_count,
            Some(c) => self.present.iter().find(|p| p.0 == c).map_or(0, |p| p.1),
        }
    }
}

/// Why there is no settlement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum NoSettlement {
    /// A charge counts by something that is not known.
    Unknown(String),
    /// Beyond exact arithmetic.
    TooLarge,
}

impl From<TooLarge> for NoSettlement {
    fn from(_: TooLarge) -> Self {
        Self::TooLarge
    }
}

/// One line before it is put into words.
#[derive(Debug, Clone)]
pub(crate) struct Line<'a> {
    pub item: LineItem,
    pub rate: Decimal,
    pub count: Decimal,
    pub surcharge: Option<&'a Surcharge>,
    pub share: ShareBy,
    pub amount: SignedAmount,
}

/// A settlement in figures.
#[derive(Debug, Clone)]
pub(crate) struct Settled<'a> {
    pub gross: SignedAmount,
    pub silver_ozt: Decimal,
    pub paid_ozt: Decimal,
    pub lines: Vec<Line<'a>>,
    pub deductions: SignedAmount,
    pub net: SignedAmount,
}

/// Price of one troy ounce, unrounded.
pub(crate) fn price_per_ozt(price: &MetalPrice) -> Result<Decimal, TooLarge> {
    price.value_of(TROY_OUNCE_G).ok_or(TooLarge)
}

/// Grams in the unit that a price is quoted for.
pub(crate) const fn grams_per(unit: PriceUnit) -> Decimal {
    match unit {
        PriceUnit::TroyOunce => TROY_OUNCE_G,
        PriceUnit::Gram => Decimal::ONE,
        PriceUnit::Kilogram => Decimal::ONE_THOUSAND,
    }
}

/// Troy ounces in a mass in kilograms.
pub(crate) fn ozt_of_kg(kg: Decimal) -> Exact {
    Exact::from(kg) * Exact::from(Decimal::ONE_THOUSAND) / Exact::from(TROY_OUNCE_G)
}

fn known(value: Option<Decimal>, what: &str) -> Result<Decimal, NoSettlement> {
    value.ok_or_else(|| NoSettlement::Unknown(what.to_owned()))
}

const NEEDS_MASS: &str = "The terms charge by mass, and the lot was not weighed: weigh it.";
const NEEDS_VOLUME: &str =
    "The terms charge by volume, and the volume is not known: read the jug mark.";

/// Works out the settlement of a load. The price is per troy ounce, so that a table of prices needs
/// no new request.
pub(crate) fn settle<'a>(
    load: &Load,
    price_per_ozt: Decimal,
    terms: &'a RefinerTerms,
) -> Result<Settled<'a>, NoSettlement> {
    let pay = &terms.payment;
    let silver = Silver::of(load, pay)?;
    let mut sheet = Sheet::of(terms);
    let gross = silver_lines(&silver, price_per_ozt, &mut sheet)?;
    charge_lines(load, terms, silver.paid_ozt, &mut sheet)?;

    let total = sheet.sum(|_| true);
    Ok(Settled {
        gross,
        silver_ozt: silver.ozt,
        paid_ozt: silver.paid_ozt,
        deductions: sheet.rounded(total)?,
        net: sheet.rounded(Exact::from(gross.decimal()) - total)?,
        lines: sheet.lines,
    })
}

/// The net of [`settle`] at each of several prices per troy ounce. Charges do not move with the
/// price, and the lines about silver not paid for leave the rounded worth of what is paid for:
/// net = worth of the silver paid for - charges.
pub(crate) fn nets(
    load: &Load,
    prices_per_ozt: &[Decimal],
    terms: &RefinerTerms,
) -> Result<Vec<SignedAmount>, NoSettlement> {
    let silver = Silver::of(load, &terms.payment)?;
    let mut sheet = Sheet::of(terms);
    charge_lines(load, terms, silver.paid_ozt, &mut sheet)?;
    let charges = sheet.sum(|_| true);
    prices_per_ozt
        .iter()
        .map(|price| {
            let worth = sheet.rounded(silver.paid * Exact::from(*price))?;
            Ok(sheet.rounded(Exact::from(worth.decimal()) - charges)?)
        })
        .collect()
}

/// The lines so far; a line of nothing is not written.
struct Sheet<'a> {
    lines: Vec<Line<'a>>,
    currency: Currency,
}

impl<'a> Sheet<'a> {
    /// An empty sheet with room for the lines that these terms can have.
    fn of(terms: &'a RefinerTerms) -> Self {
        const LINES_BESIDES_SURCHARGES: usize = 11;
        Self {
            lines: Vec::with_capacity(
                LINES_BESIDES_SURCHARGES.saturating_add(terms.payment.surcharges.len()),
            ),
            currency: terms.currency,
        }
    }

    fn rounded(&self, value: Exact) -> Result<SignedAmount, TooLarge> {
        Ok(SignedAmount::rounded(value.finish()?, self.currency))
    }

    fn sum(&self, of: impl Fn(LineItem) -> bool) -> Exact {
        self.lines
            .iter()
            .filter(|l| of(l.item))
            .map(|l| Exact::from(l.amount.decimal()))
            .sum()
    }

    fn write(
        &mut self,
        item: LineItem,
        rate: Decimal,
        count: Decimal,
        share: ShareBy,
        amount: Exact,
    ) -> Result<(), TooLarge> {
        let amount = self.rounded(amount)?;
        if !amount.decimal().is_zero() {
            self.lines.push(Line {
                item,
                rate,
                count,
                surcharge: None,
                share,
                amount,
            });
        }
        Ok(())
    }

    fn counted(
        &mut self,
        item: LineItem,
        rate: Amount,
        count: Decimal,
        share: ShareBy,
    ) -> Result<(), TooLarge> {
        let amount = Exact::from(rate) * Exact::from(count);
        self.write(item, rate.decimal(), count, share, amount)
    }

    fn once(&mut self, item: LineItem, amount: Option<Amount>) -> Result<(), TooLarge> {
        match amount {
            Some(a) => self.counted(item, a, Decimal::ONE, ShareBy::Silver),
            None => Ok(()),
        }
    }
}

/// The silver of a load, and how much of it is paid for, whatever the price.
struct Silver {
    ozt: Decimal,
    paid_ozt: Decimal,
    whole: Exact,
    taken: Exact,
    paid: Exact,
    below_least: bool,
}

impl Silver {
    fn of(load: &Load, pay: &Payment) -> Result<Self, TooLarge> {
        let whole = Exact::from(load.silver_g) / Exact::from(TROY_OUNCE_G);
        let ozt = whole.finish()?;
        let least = pay
            .least_silver_paid_for_ozt
            .map_or(Decimal::ZERO, |l| l.decimal());
        let below_least = ozt < least;
        let deducted = pay
            .silver_deducted_ozt
            .map_or(Decimal::ZERO, |d| d.decimal());
        let taken = Exact::from(deducted).at_most(whole);
        let paid = if below_least {
            Exact::ZERO
        } else {
            (whole - taken) * Exact::percent(pay.payable_percent.decimal())
        };
        Ok(Self {
            ozt,
            paid_ozt: paid.finish()?,
            whole,
            taken,
            paid,
            below_least,
        })
    }
}

/// What of the silver is not paid; gives what all of it is worth. The worth after each step is
/// rounded and the line is the difference, so that what remains is what an invoice says for the
/// silver paid for.
fn silver_lines(
    silver: &Silver,
    price_per_ozt: Decimal,
    sheet: &mut Sheet<'_>,
) -> Result<SignedAmount, TooLarge> {
    let price = Exact::from(price_per_ozt);
    let gross = sheet.rounded(silver.whole * price)?;
    let worth = Exact::from(gross.decimal());
    if silver.below_least {
        sheet.write(
            LineItem::SilverBelowLeast,
            price_per_ozt,
            silver.ozt,
            ShareBy::Silver,
            worth,
        )?;
        return Ok(gross);
    }
    let rest = silver.whole - silver.taken;
    let rest_worth = Exact::from(sheet.rounded(rest * price)?.decimal());
    let paid_worth = Exact::from(sheet.rounded(silver.paid * price)?.decimal());
    sheet.write(
        LineItem::SilverDeducted,
        price_per_ozt,
        silver.taken.finish()?,
        ShareBy::Silver,
        worth - rest_worth,
    )?;
    sheet.write(
        LineItem::SilverNotPayable,
        price_per_ozt,
        (rest - silver.paid).finish()?,
        ShareBy::Silver,
        rest_worth - paid_worth,
    )?;
    Ok(gross)
}

/// Every charge, in the order of a statement.
fn charge_lines<'a>(
    load: &Load,
    terms: &'a RefinerTerms,
    paid_ozt: Decimal,
    sheet: &mut Sheet<'a>,
) -> Result<(), NoSettlement> {
    let pay = &terms.payment;
    treatment_lines(load, pay, paid_ozt, sheet)?;
    let once = [
        (LineItem::Assay, pay.assay_fee),
        (LineItem::Freight, pay.freight),
        (LineItem::ReturnFreight, pay.return_freight),
    ];
    for (item, amount) in once {
        sheet.once(item, amount)?;
    }
    surcharge_lines(load, &pay.surcharges, sheet)
}

/// Treatment and refining, topped up to the lot minimum.
fn treatment_lines(
    load: &Load,
    pay: &Payment,
    paid_ozt: Decimal,
    sheet: &mut Sheet<'_>,
) -> Result<(), NoSettlement> {
    if let Some(t) = &pay.treatment {
        sheet.once(LineItem::TreatmentPerLot, t.per_lot)?;
        if let Some(a) = t.per_kilogram {
            let mass = known(load.mass_kg, NEEDS_MASS)?;
            sheet.counted(LineItem::TreatmentPerKilogram, a, mass, ShareBy::Mass)?;
        }
        if let Some(a) = t.per_litre {
            let volume = known(load.volume_l, NEEDS_VOLUME)?;
            sheet.counted(LineItem::TreatmentPerLitre, a, volume, ShareBy::Volume)?;
        }
        if let Some(a) = t.per_troy_ounce_received {
            let received = ozt_of_kg(known(load.mass_kg, NEEDS_MASS)?).finish()?;
            sheet.counted(LineItem::TreatmentPerTroyOunce, a, received, ShareBy::Mass)?;
        }
    }
    if let Some(a) = pay.refining_per_troy_ounce {
        sheet.counted(LineItem::Refining, a, paid_ozt, ShareBy::Silver)?;
    }
    if let Some(minimum) = pay.minimum_lot_charge {
        let missing = (Exact::from(minimum) - sheet.sum(under_minimum)).at_least(Exact::ZERO);
        let item = LineItem::MinimumTopUp;
        sheet.write(
            item,
            missing.finish()?,
            Decimal::ONE,
            ShareBy::Silver,
            missing,
        )?;
    }
    Ok(())
}

const fn under_minimum(item: LineItem) -> bool {
    matches!(
        item,
        LineItem::TreatmentPerLot
            | LineItem::TreatmentPerKilogram
            | LineItem::TreatmentPerLitre
            | LineItem::TreatmentPerTroyOunce
            | LineItem::Refining
    )
}

fn surcharge_lines<'a>(
    load: &Load,
    list: &'a [Surcharge],
    sheet: &mut Sheet<'a>,
) -> Result<(), NoSettlement> {
    for surcharge in list {
        let containers = load.containers_for(surcharge);
        if containers == 0 {
            continue;
        }
        let (count, share) = match surcharge.per {
            ChargeBasis::Lot => (Decimal::ONE, ShareBy::Silver),
            ChargeBasis::Container => (Decimal::from(containers), ShareBy::Container),
            ChargeBasis::Kilogram => (known(load.mass_kg, NEEDS_MASS)?, ShareBy::Mass),
            ChargeBasis::TroyOunceReceived => (
                ozt_of_kg(known(load.mass_kg, NEEDS_MASS)?).finish()?,
                ShareBy::Mass,
            ),
        };
        let amount = sheet.rounded(Exact::from(surcharge.amount) * Exact::from(count))?;
        sheet.lines.push(Line {
            item: LineItem::Surcharge,
            rate: surcharge.amount.decimal(),
            count,
            surcharge: Some(surcharge),
            share: surcharge.when.map_or(share, ShareBy::Holders),
            amount,
        });
    }
    Ok(())
}

fn figure(value: Decimal) -> Plain {
    Plain::decimal(value.round_dp(4))
}

impl Line<'_> {
    /// The line in words.
    pub fn described(&self, settled: &Settled<'_>, terms: &RefinerTerms) -> MoneyLine {
        let pay = &terms.payment;
        let code = terms.currency.code();
        let rate = || terms.currency.plain(self.rate);
        let count = || figure(self.count);
        let by = |unit: &str| format!("{} {unit} x {} {code}", count(), rate()).into();
        let basis: Cow<'static, str> = match self.item {
            LineItem::SilverDeducted | LineItem::TreatmentPerTroyOunce | LineItem::Refining => {
                by("ozt")
            }
            LineItem::SilverBelowLeast => format!(
                "{} ozt, below {} ozt, x {} {code}",
                count(),
                figure(
                    pay.least_silver_paid_for_ozt
                        .map_or(Decimal::ZERO, |l| l.decimal())
                ),
                rate()
            )
            .into(),
            LineItem::SilverNotPayable => format!(
                "({} ozt - {} ozt paid for at {} %) x {} {code}",
                figure(
                    (Exact::from(self.count) + Exact::from(settled.paid_ozt))
                        .finish()
                        .unwrap_or(settled.silver_ozt)
                ),
                figure(settled.paid_ozt),
                figure(pay.payable_percent.decimal()),
                rate()
            )
            .into(),
            LineItem::TreatmentPerKilogram | LineItem::PerKilogram => by("kg"),
            LineItem::TreatmentPerLitre => by("L"),
            LineItem::MinimumTopUp => format!(
                "treatment and refining come to less than {} {code}",
                terms.currency.plain(
                    pay.minimum_lot_charge
                        .map_or(Decimal::ZERO, |m| m.decimal())
                )
            )
            .into(),
            LineItem::TreatmentPerLot
            | LineItem::Assay
            | LineItem::Freight
            | LineItem::ReturnFreight => "once".into(),
            _ => {
                return surcharge_line(self, code);
            }
        };
        MoneyLine {
            item: self.item,
            label: self.item.words().into(),
            basis,
            amount: self.amount,
        }
    }
}

fn surcharge_line(line: &Line<'_>, code: &str) -> MoneyLine {
    let (rate, count) = (figure(line.rate), figure(line.count));
    let unit = match line.surcharge.map(|s| s.per) {
        Some(ChargeBasis::Container) => "container(s)",
        Some(ChargeBasis::Kilogram) => "kg",
        Some(ChargeBasis::TroyOunceReceived) => "ozt received",
        Some(ChargeBasis::Lot) | None => "lot",
    };
    let because = line
        .surcharge
        .and_then(|s| s.when)
        .map_or_else(String::new, |c| format!(", because of {}", c.words()));
    MoneyLine {
        item: line.item,
        label: line
            .surcharge
            .map_or_else(String::new, |s| s.name.to_string())
            .into(),
        basis: format!("{count} {unit} x {rate} {code}{because}").into(),
        amount: line.amount,
    }
}
