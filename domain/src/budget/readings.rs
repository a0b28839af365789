//! The readings of a budget as uncertain values, each default listed.

use super::defaults::{DEFAULTS, Figure};
use super::{BathUse, PlateFormat, SilverUse};
use crate::answer::{Method, Notes};
use crate::batch::Craft;
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{Measured, Shape, Unit};
use crate::statistics::{Inputs, Uncertain};

pub(super) const PER_PLATE: Method = Method {
    name: "silver nitrate per plate",
    formula: "silver nitrate (g) = loss (g/m2) x width (cm) x height (cm) / 10 000",
    source: "house_rule",
};
pub(super) const PER_BATH: Method = Method {
    name: "silver nitrate per bath",
    formula: "silver nitrate (g) = strength (% w/v) x 10 x volume (L)",
    source: "mass_volume_percent",
};
pub(super) const RECOVERED: Method = Method {
    name: "silver got back",
    formula: "recovered (g) = silver (g) x share to the stream x share recovered, summed over the streams",
    source: "house_rule",
};

pub(super) struct StreamShare {
    pub share: Uncertain,
    pub recovered: Uncertain,
}

pub(super) struct Work<'a, 'n> {
    pub inputs: Inputs,
    pub at: &'a str,
    pub notes: &'n mut Notes,
}

impl Work<'_, '_> {
    /// Registers a reading; a bare one takes `default`, either as points or relative to itself.
    fn reading<U: Unit>(
        &mut self,
        (key, name): (&str, &str),
        reading: &Measured<U>,
        (default, relative): (&'static Figure, bool),
        (about, field): (&str, &str),
    ) -> Result<Uncertain, Faults> {
        let value = reading.as_f64();
        let (u, shape) = reading.standard_uncertainty().unwrap_or_else(|| {
            if value == 0.0 {
                return (0.0, Shape::Normal);
            }
            self.notes.assume(
                about,
                format!("{}/{field}", self.at),
                &default.source,
                &default.words,
            );
            let u = if relative {
                value * default.as_f64() / 100.0
            } else {
                default.as_f64()
            };
            (u, Shape::Normal)
        });
        self.register(key, name, value, u, shape, field)
    }

    fn register(
        &mut self,
        key: &str,
        name: &str,
        value: f64,
        u: f64,
        shape: Shape,
        field: &str,
    ) -> Result<Uncertain, Faults> {
        self.inputs
            .register(key, name.to_owned(), value, u, shape)
            .map_err(|before| {
                Fault::new(
                    FaultKind::Conflict,
                    format!("{}/{field}", self.at),
                    format!("{value} here and {before} before for the same input"),
                )
                .into()
            })
    }

    pub fn purity(&mut self, silver_use: &SilverUse) -> Result<Uncertain, Faults> {
        const FIELD: &str = "purity_percent";
        let (value, (u, shape)) = match &silver_use.purity_percent {
            Some(p) => (
                p.as_f64(),
                p.standard_uncertainty().unwrap_or((0.0, Shape::Normal)),
            ),
            None => {
                let default = &DEFAULTS.purity_percent;
                self.notes.assume(
                    "/silver_per_year",
                    format!("{}/{FIELD}", self.at),
                    &default.source,
                    &default.words,
                );
                let u = default.standard_uncertainty();
                (default.as_f64(), (u, Shape::Rectangular))
            }
        };
        self.register(
            "purity",
            "purity of the silver nitrate",
            value,
            u,
            shape,
            FIELD,
        )
        .map(|p| p.scaled(0.01))
    }

    pub fn loss(&mut self, format: &PlateFormat, i: usize) -> Result<Uncertain, Faults> {
        let field = format!("formats/{i}/silver_nitrate_g_per_m2");
        let about = format!("/formats/{i}/silver_nitrate_each");
        self.notes.method(&about, PER_PLATE);
        if let Some(loss) = &format.silver_nitrate_g_per_m2 {
            let (u, shape) = loss.standard_uncertainty().unwrap_or_else(|| {
                let default = &DEFAULTS.loss_percent;
                self.notes.assume(
                    &about,
                    format!("{}/{field}", self.at),
                    &default.source,
                    &default.words,
                );
                (loss.as_f64() * default.as_f64() / 100.0, Shape::Normal)
            });
            // One figure given for several formats is one measurement: it is shared.
            let key = format!("loss {} {u}", loss.decimal().normalize());
            let name = format!("silver nitrate per area ({})", format.name);
            return self.register(&key, &name, loss.as_f64(), u, shape, &field);
        }
        let craft = format.craft.unwrap_or_else(|| {
            self.notes.assume(
                &about,
                format!("{}/formats/{i}/craft", self.at),
                "house_rule",
                "No craft was named: collodion plates were taken.",
            );
            Craft::Collodion
        });
        let Some(default) = DEFAULTS.loss_of(craft) else {
            return Err(Fault::missing(
                format!("{}/{field}", self.at),
                "the silver nitrate that one square metre takes: there is no default for film and gelatin paper, which are bought ready coated",
            )
            .into());
        };
        self.notes.assume(
            &about,
            format!("{}/{field}", self.at),
            &default.source,
            &default.words,
        );
        let (value, u) = default.figure();
        let key = format!("default loss {craft:?}");
        self.register(
            &key,
            "silver nitrate per area (default)",
            value,
            u,
            Shape::Normal,
            &field,
        )
    }

    pub fn bath(&mut self, bath: &BathUse, i: usize) -> Result<(Uncertain, Uncertain), Faults> {
        let about = format!("/baths/{i}/silver_nitrate_each");
        self.notes.method(&about, PER_BATH);
        let strength = self.reading(
            (
                &format!("bath {i} strength"),
                &format!("strength of {}", bath.name),
            ),
            &bath.strength_percent_w_v,
            (&DEFAULTS.strength_percent, true),
            (&about, &format!("baths/{i}/strength_percent_w_v")),
        )?;
        let volume = self.reading(
            (
                &format!("bath {i} volume"),
                &format!("volume of {}", bath.name),
            ),
            &bath.volume_l,
            (&DEFAULTS.volume_percent, true),
            (&about, &format!("baths/{i}/volume_l")),
        )?;
        let about = format!("/baths/{i}/recovered_silver_each");
        let field = format!("baths/{i}/recovered_percent");
        let share = match &bath.recovered_percent {
            Some(share) => self.reading(
                (
                    &format!("bath {i} recovered"),
                    &format!("share got back from {}", bath.name),
                ),
                share,
                (&DEFAULTS.recovered_percent, false),
                (&about, &field),
            )?,
            None => {
                self.notes.assume(
                    &about,
                    format!("{}/{field}", self.at),
                    "house_rule",
                    "Nothing is counted as got back from an old bath unless you say so.",
                );
                Uncertain::exact(0.0)
            }
        };
        Ok((strength.times(&volume).scaled(10.0), share.scaled(0.01)))
    }

    pub fn streams(&mut self, silver_use: &SilverUse) -> Result<Vec<StreamShare>, Faults> {
        self.notes.method("/recovered_silver_per_year", RECOVERED);
        if silver_use.streams.is_empty() && !silver_use.formats.is_empty() {
            self.notes.assume(
                "/recovered_silver_per_year",
                format!("{}/streams", self.at),
                "house_rule",
                "No stream was named, so nothing is counted as got back from plates and paper.",
            );
        }
        if !silver_use.formats.is_empty() && !silver_use.baths.is_empty() {
            self.notes.assume(
                "/silver_nitrate_per_year",
                format!("{}/baths", self.at),
                "house_rule",
                "A bath is kept at strength while it works: what plates and paper take is bought on top of what fills the bath.",
            );
        }
        let mut streams = Vec::with_capacity(silver_use.streams.len());
        for (i, stream) in silver_use.streams.iter().enumerate() {
            let share = self.reading(
                (
                    &format!("stream {i} share"),
                    &format!("share of the silver to {}", stream.name),
                ),
                &stream.share_percent,
                (&DEFAULTS.share_percent, false),
                (
                    &format!("/streams/{i}/silver_per_year"),
                    &format!("streams/{i}/share_percent"),
                ),
            )?;
            let recovered = self.reading(
                (
                    &format!("stream {i} recovered"),
                    &format!("share got back from {}", stream.name),
                ),
                &stream.recovered_percent,
                (&DEFAULTS.recovered_percent, false),
                (
                    &format!("/streams/{i}/recovered_silver_per_year"),
                    &format!("streams/{i}/recovered_percent"),
                ),
            )?;
            streams.push(StreamShare {
                share: share.scaled(0.01),
                recovered: recovered.scaled(0.01),
            });
        }
        Ok(streams)
    }
}
