//! The workbench on which one piece of evidence is worked out: it registers inputs, supplies
//! default uncertainties and says so, and names the field when something is wrong.

use crate::answer::Notes;
use crate::batch::Batch;
use crate::fault::{Fault, FaultKind};
use crate::quantity::{
    Grams, Identifier, Measured, MeasuredGrams, Plain, Shape, Unit, write_decimal,
};
use crate::statistics::{Inputs, Uncertain};
use rust_decimal::Decimal;
use std::borrow::Cow;

/// The uncertainty that a bare value takes.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Spread {
    /// A share of the value: standard uncertainty in percent.
    Relative(f64),
    /// Standard uncertainty in the unit of the value.
    Absolute(f64),
    /// Half-width of a rectangle in the unit of the value.
    HalfWidth(f64),
}

/// A bare volume is a jug mark: common practice, no source.
pub(crate) const JUG_MARK: Spread = Spread::Relative(5.0);
/// A bare mass of a whole container is a weighing on a household scale: common practice, no source.
pub(crate) const HOUSEHOLD_SCALE: Spread = Spread::Relative(1.0);

/// A figure from elsewhere that stands bare: common practice, no source.
pub(crate) const STATED_FIGURE: Spread = Spread::Relative(20.0);

impl Spread {
    /// Standard uncertainty of a value, and its shape.
    pub(crate) fn standard(self, value: f64) -> (f64, Shape) {
        match self {
            Self::Relative(percent) => ((value * percent / 100.0).abs(), Shape::Normal),
            Self::Absolute(u) => (u, Shape::Normal),
            Self::HalfWidth(a) => (a / 3f64.sqrt(), Shape::Rectangular),
        }
    }

    /// The spread in words, with the unit of its value.
    fn write_words(self, text: &mut String, symbol: &str) {
        let (before, figure, unit) = match self {
            Self::Relative(percent) => ("a standard uncertainty of ", percent, "% of the value"),
            Self::Absolute(u) => ("a standard uncertainty of ", u, symbol),
            Self::HalfWidth(a) => ("plus or minus ", a, symbol),
        };
        text.push_str(before);
        text.push_str(Plain::significant(figure, 10).as_str());
        text.push(' ');
        text.push_str(unit);
    }
}

/// What is assumed of a bare reading, and as what it is taken, where that needs words.
pub(crate) fn bare_text<U: Unit>(reading: &Measured<U>, words: &str, spread: Spread) -> String {
    // Long enough for most, so that the text is written where it stays.
    let mut text = String::with_capacity(160);
    text.push_str(Plain::decimal(reading.decimal()).as_str());
    text.push(' ');
    text.push_str(U::SYMBOL);
    text.push_str(" stands bare: ");
    text.push_str(words);
    text.push_str(if words.is_empty() {
        "taken with "
    } else {
        ", "
    });
    spread.write_words(&mut text, U::SYMBOL);
    text.push_str(" (common practice, no source).");
    text
}

/// Resolution assumed for a scale that is not described: common practice, no source.
const SMALL_SCALE_G: f64 = 0.1;
/// Resolution assumed for the scale that weighs whole containers.
const LARGE_SCALE_G: f64 = 1.0;

pub(super) struct Bench<'a> {
    pub inputs: &'a mut Inputs,
    pub notes: &'a mut Notes,
    pub batch: &'a Batch,
    /// Pointer of the batch in the request.
    pub batch_at: &'a str,
    /// Pointer of this evidence in the request.
    pub at: String,
    /// Pointer of this evidence in the result.
    pub about: String,
    pub shares: &'a [Identifier],
    /// Whether the sludge alone was sampled.
    pub of_sludge: bool,
    pub used: Vec<Cow<'static, str>>,
    /// The first member that reads zero without an uncertainty, and its unit.
    pub zero: Option<(String, &'static str)>,
}

impl Bench<'_> {
    pub fn pointer(&self, field: &str) -> String {
        pointer(&[&self.at, field])
    }

    /// What tells this input from others: its place, or its name alone where it is shared.
    fn key(&self, field: &str) -> String {
        if self.shares.iter().any(|s| s.as_str() == field) {
            pointer(&["shared", field])
        } else {
            self.pointer(field)
        }
    }

    /// Registers a value that comes with its uncertainty already worked out.
    pub fn register(
        &mut self,
        field: impl Into<Cow<'static, str>>,
        value: f64,
        uncertainty: f64,
        shape: Shape,
    ) -> Result<Uncertain, Fault> {
        let field = field.into();
        let key = self.key(&field);
        self.used.push(field.clone());
        let known = self
            .inputs
            .register(key, field.clone(), value, uncertainty, shape);
        known.map_err(|before| {
            Fault::new(
                FaultKind::Conflict,
                self.pointer(&field),
                format!("{value} here and {before} elsewhere: expected one value for an input that is shared"),
            )
        })
    }

    /// A measured field. A bare value takes `spread`, and the answer lists it.
    pub fn take<U: Unit>(
        &mut self,
        field: impl Into<Cow<'static, str>>,
        reading: &Measured<U>,
        spread: Spread,
    ) -> Result<Uncertain, Fault> {
        let field = field.into();
        let value = reading.as_f64();
        let (u, shape) = if let Some(given) = reading.standard_uncertainty() {
            given
        } else {
            let pointer = self.pointer(&field);
            self.notes.assume(
                &self.about,
                pointer,
                "common_practice",
                bare_text(reading, "", spread),
            );
            spread.standard(value)
        };
        if value == 0.0 && u <= 0.0 && self.zero.is_none() {
            self.zero = Some((self.pointer(&field), U::SYMBOL));
        }
        self.register(field, value, u, shape)
    }

    /// A measured field that must be above zero.
    pub fn positive<U: Unit>(
        &mut self,
        field: impl Into<Cow<'static, str>>,
        reading: &Measured<U>,
        spread: Spread,
    ) -> Result<Uncertain, Fault> {
        let field = field.into();
        if reading.decimal() <= Decimal::ZERO {
            return Err(Fault::out_of_range(
                self.pointer(&field),
                write_decimal(reading.decimal()),
                &format!("more than 0 {}", U::SYMBOL),
            ));
        }
        self.take(field, reading, spread)
    }

    /// A weighing: a bare mass is good to plus or minus one step of the scale.
    pub fn weigh(
        &mut self,
        field: impl Into<Cow<'static, str>>,
        mass: &MeasuredGrams,
        resolution: Option<Grams>,
    ) -> Result<Uncertain, Fault> {
        if mass.standard_uncertainty().is_none() && resolution.is_none() {
            return self.take(field, mass, Spread::HalfWidth(SMALL_SCALE_G));
        }
        match (mass.standard_uncertainty(), resolution) {
            (None, Some(step)) => {
                let (u, shape) = Spread::HalfWidth(step.as_f64()).standard(mass.as_f64());
                self.register(field, mass.as_f64(), u, shape)
            }
            _ => self.take(field, mass, Spread::HalfWidth(SMALL_SCALE_G)),
        }
    }

    /// A default value for a member that is absent, listed with its authority.
    pub fn default(
        &mut self,
        field: impl Into<Cow<'static, str>>,
        value: f64,
        spread: Spread,
        source: &'static str,
        words: impl Into<Cow<'static, str>>,
    ) -> Result<Uncertain, Fault> {
        let field = field.into();
        let pointer = self.pointer(&field);
        self.notes.assume(&self.about, pointer, source, words);
        let (u, shape) = spread.standard(value);
        self.register(field, value, u, shape)
    }

    /// Volume of the batch in litres. It is one input, whatever evidence uses it.
    pub fn volume(&mut self) -> Result<Uncertain, Fault> {
        self.used.push("volume_l".into());
        volume_of(self.batch, self.batch_at, self.inputs, self.notes)?.ok_or_else(|| {
            Fault::missing(
                format!("{}/volume_l", self.batch_at),
                "the volume, or mass_kg or gross_g with tare_g and a density, to turn a concentration into grams",
            )
        })
    }

    /// Mass of the batch in grams.
    pub fn mass_g(&mut self) -> Result<Uncertain, Fault> {
        mass_of(self.batch, self.batch_at, self.inputs, self.notes)?.ok_or_else(|| {
            Fault::missing(
                format!("{}/mass_kg", self.batch_at),
                "the mass, or gross_g with tare_g, to turn a share by mass into grams",
            )
        })
    }

    pub fn refuse(&self, liquid: &str, reason: &str) -> Fault {
        Fault::new(
            FaultKind::NotApplicable,
            self.at.clone(),
            format!("this reading does not hold for {liquid}: {reason}"),
        )
    }
}

/// The pointer of a member: the pointer of the whole, then each step down from it.
pub(super) fn pointer(steps: &[&str]) -> String {
    let mut pointer = String::with_capacity(
        steps
            .iter()
            .map(|s| s.len())
            .sum::<usize>()
            .saturating_add(steps.len()),
    );
    for (i, step) in steps.iter().enumerate() {
        if i > 0 {
            pointer.push('/');
        }
        pointer.push_str(step);
    }
    pointer
}

/// A measured member of the batch itself. A bare value takes `spread`, and the answer lists it.
pub(crate) fn batch_input<U: Unit>(
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
    field: &'static str,
    reading: &Measured<U>,
    spread: Spread,
    words: &str,
) -> Result<Uncertain, Fault> {
    let place = pointer(&[at, field]);
    let value = reading.as_f64();
    let (u, shape) = if let Some(given) = reading.standard_uncertainty() {
        given
    } else {
        notes.assume(
            "",
            place.as_str(),
            "common_practice",
            bare_text(reading, words, spread),
        );
        spread.standard(value)
    };
    inputs
        .register(place, field, value, u, shape)
        .map_err(|before| {
            Fault::new(
                FaultKind::Conflict,
                pointer(&[at, field]),
                format!("{value} here and {before} before"),
            )
        })
}

fn density_of(
    batch: &Batch,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Uncertain, Fault> {
    if let Some(reading) = &batch.density_g_per_ml {
        if reading.as_f64() <= 0.0 {
            return Err(Fault::out_of_range(
                format!("{at}/density_g_per_ml"),
                0,
                "more than 0 g/mL",
            ));
        }
        return batch_input(
            at,
            inputs,
            notes,
            "density_g_per_ml",
            reading,
            Spread::HalfWidth(0.005),
            "taken as a hydrometer reading",
        );
    }
    let pointer = format!("{at}/density_g_per_ml");
    notes.assume(
        "",
        pointer.as_str(),
        "common_practice",
        "No density: taken as 1.05 plus or minus 0.06 g/mL, which spans plain rinse water to strong fixer and bath (common practice, no source).",
    );
    inputs
        .register(
            pointer.as_str(),
            "density_g_per_ml",
            1.05,
            0.06 / 3f64.sqrt(),
            Shape::Rectangular,
        )
        .map_err(|_| Fault::missing(pointer.clone(), "the density"))
}

/// Net mass in grams, from `mass_kg` or from gross and tare.
fn net_mass_g(
    batch: &Batch,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Option<Uncertain>, Fault> {
    if let Some(mass) = &batch.mass_kg {
        let mass = batch_input(
            at,
            inputs,
            notes,
            "mass_kg",
            mass,
            HOUSEHOLD_SCALE,
            "taken as a weighing on a household scale",
        )?;
        return Ok(Some(mass.scaled(1000.0)));
    }
    let (Some(gross), Some(tare)) = (&batch.gross_g, &batch.tare_g) else {
        return Ok(None);
    };
    let step = batch
        .scale_resolution_g
        .map_or(LARGE_SCALE_G, |r| r.as_f64());
    let mut weigh = |field: &'static str, mass: &MeasuredGrams| {
        batch_input(
            at,
            inputs,
            notes,
            field,
            mass,
            Spread::HalfWidth(step),
            "one step of the scale",
        )
    };
    let gross = weigh("gross_g", gross)?;
    let tare = weigh("tare_g", tare)?;
    Ok(Some(gross.minus(&tare)))
}

/// Mass in grams: weighed, or the volume times a stated density.
pub(crate) fn mass_of(
    batch: &Batch,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Option<Uncertain>, Fault> {
    if let Some(mass) = net_mass_g(batch, at, inputs, notes)? {
        return Ok(Some(mass));
    }
    if batch.density_g_per_ml.is_none() {
        return Ok(None);
    }
    let Some(volume) = volume_of(batch, at, inputs, notes)? else {
        return Ok(None);
    };
    let density = density_of(batch, at, inputs, notes)?;
    Ok(Some(volume.times(&density).scaled(1000.0)))
}

/// Volume in litres, from a jug mark, or from a net mass and a density: V = m / rho.
pub(crate) fn volume_of(
    batch: &Batch,
    at: &str,
    inputs: &mut Inputs,
    notes: &mut Notes,
) -> Result<Option<Uncertain>, Fault> {
    if let Some(volume) = &batch.volume_l {
        return batch_input(
            at,
            inputs,
            notes,
            "volume_l",
            volume,
            JUG_MARK,
            "taken as a jug mark",
        )
        .map(Some);
    }
    let Some(mass) = net_mass_g(batch, at, inputs, notes)? else {
        return Ok(None);
    };
    if !batch.kind.is_liquid() {
        return Ok(None);
    }
    let density = density_of(batch, at, inputs, notes)?;
    Ok(Some(mass.over(&density).scaled(0.001)))
}
