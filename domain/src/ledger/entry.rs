//! What is written into the silver book.

use crate::batch::Batch;
use crate::estimate::{Evidence, Plates, ThroughputItem, WeighedSolid};
use crate::quantity::{
    Date, Grams, Identifier, MeasuredGrams, MeasuredGramsPerSquareMetre, MeasuredKilograms,
    MeasuredLitres, MeasuredPercent, MeasuredPh, MeasuredSquareMetres, Text,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

/// One entry: what happened, on which day, and who wrote it down. Entries are never edited or
/// removed; an entry that was wrong is reversed by another, which names it and says why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its name, unique in the book.
    pub id: Identifier,
    /// The day it happened. Entries of one day count in the order they were recorded.
    pub on: Date,
    /// What happened.
    pub event: Event,
    /// Who wrote it down.
    pub recorded_by: Text,
    /// Who supervised the work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supervised_by: Option<Text>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Text>,
}

/// What happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Event {
    /// A container was taken into the book, empty or with what was in it.
    Opened(Opened),
    /// Silver nitrate went into an empty container, made up with water.
    MadeUp(SilverNitrateAdded),
    /// Silver nitrate went into what was there.
    Replenished(SilverNitrateAdded),
    /// Plates, film or paper went through.
    Processed(Processed),
    /// Something was read: silver, volume or pH.
    Measured(Reading),
    /// Water was added.
    ToppedUp(ToppedUp),
    /// Something was poured, or put, into another container.
    Transferred(Transferred),
    /// The batch was taken out of work: from this day it is spent.
    Spent(Plain),
    /// The batch was treated where it stands; its silver stays in it.
    Treated(Treated),
    /// A solid with silver in it was taken out of the batch.
    ProductRecovered(Recovered),
    /// Something went to a refiner.
    Shipped(Shipped),
    /// The refiner's statement on a shipment.
    Settled(Settled),
    /// A haulier took something away.
    Collected(Collected),
    /// Something was discharged under a permit.
    Discharged(Discharged),
    /// Something was spilled.
    Spilled(Spilled),
    /// A container, or the place where they stand, was inspected.
    Inspected(Inspected),
    /// The container is out of the book.
    Closed(Closed),
    /// An earlier entry was wrong, and counts no more.
    Reversed(Reversed),
}

/// Where silver comes from when a container is taken into the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// It was here before the book began.
    OnHand,
    /// It was bought.
    Bought,
    /// It came from somebody else.
    Received,
}

/// Nothing more to say: it is written `{}`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Whole {}

/// How much of a container.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// All of it.
    All(Whole),
    /// A volume; a bare figure is a jug mark, good to 5 %.
    VolumeL(MeasuredLitres),
    /// A mass; a bare figure is good to 1 %.
    MassKg(MeasuredKilograms),
}

/// Defines the content of events, each of which is a closed object.
macro_rules! contents {
    ($($(#[$meta:meta])* $name:ident { $($(#[$field_meta:meta])* $field:ident: $type:ty,)* })*) => {
        $($(#[$meta])*
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $($(#[$field_meta])* pub $field: $type,)*
        })*
    };
}

contents! {
    /// A container is taken into the book. Without an amount and without evidence it is empty; with an
    /// amount and without evidence its silver is unknown.
    Opened {
        /// The container and what is in it; its `id` is its name in the book.
        batch: Batch,
        /// Where the silver in it comes from; default `on_hand`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        origin: Option<Origin>,
    }

    /// Silver nitrate that went in.
    SilverNitrateAdded {
        /// The container.
        batch: Identifier,
        /// Silver nitrate weighed in.
        silver_nitrate_g: MeasuredGrams,
        /// Its purity; default 99 to 100 %.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        purity_percent: Option<MeasuredPercent>,
        /// Resolution of the scale.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        scale_resolution_g: Option<Grams>,
        /// Volume of the whole afterwards.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        volume_after_l: Option<MeasuredLitres>,
        /// The container in the book that it came out of; without it, it counts as bought that day.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        from: Option<Identifier>,
    }

    /// What went through a container.
    Processed {
        /// The container.
        batch: Identifier,
        /// Plates or paper that took silver nitrate out of it, or material that gave silver to it.
        work: Work,
    }

    /// Plates or sheets sensitized in a bath.
    Sensitized {
        /// Plates by size; or give `plate_area_m2`.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        plates: Vec<Plates>,
        /// Their area.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        plate_area_m2: Option<MeasuredSquareMetres>,
        /// Silver nitrate that leaves the bath per area of plate; default as for a make-up record.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        silver_nitrate_loss_g_per_m2: Option<MeasuredGramsPerSquareMetre>,
    }

    /// Film, paper or plates fixed.
    Fixed {
        /// What went through.
        items: Vec<ThroughputItem>,
    }

    /// A reading. At least one of the three is given.
    Reading {
        /// The container.
        batch: Identifier,
        /// A reading of its silver, taken on the day of the entry.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading: Option<Evidence>,
        /// Its volume.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        volume_l: Option<MeasuredLitres>,
        /// Its pH.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ph: Option<MeasuredPh>,
    }

    /// Water that was added.
    ToppedUp {
        /// The container.
        batch: Identifier,
        /// Water added.
        water_l: MeasuredLitres,
    }

    /// From one container into another.
    Transferred {
        /// Out of this one.
        from: Identifier,
        /// Into this one.
        into: Identifier,
        /// How much.
        part: Part,
        /// What happened, where this was an accident. A mixture that is dangerous is taken into the
        /// book in no other way.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        incident: Option<Text>,
    }

    /// A container, and nothing more to say.
    Plain {
        /// The container.
        batch: Identifier,
    }

    /// A treatment.
    Treated {
        /// The container.
        batch: Identifier,
        /// What was done.
        what: Text,
        /// pH afterwards.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ph: Option<MeasuredPh>,
    }

    /// A product taken out of a batch.
    Recovered {
        /// Out of this container.
        batch: Identifier,
        /// Into this one, which stands in the book.
        into: Identifier,
        /// The product on the scale.
        product: WeighedSolid,
    }

    /// Something sent to a refiner.
    Shipped {
        /// Out of this container.
        batch: Identifier,
        /// How much.
        part: Part,
        /// Name of the shipment; several entries may fill one.
        shipment: Identifier,
    }

    /// A refiner's statement.
    Settled {
        /// The shipment.
        shipment: Identifier,
        /// Silver the refiner found in it; a bare figure is good to 0.5 %.
        silver_g: MeasuredGrams,
    }

    /// A collection.
    Collected {
        /// Out of this container.
        batch: Identifier,
        /// How much.
        part: Part,
        /// Who took it.
        haulier: Text,
        /// Number of the consignment or transfer note.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        consignment: Option<Text>,
    }

    /// A discharge. The service never says that one is allowed.
    Discharged {
        /// Out of this container.
        batch: Identifier,
        /// How much.
        part: Part,
        /// The permit, or the authority's written word, that allows it.
        permit: Text,
    }

    /// A spill.
    Spilled {
        /// Out of this container.
        batch: Identifier,
        /// How much was lost.
        part: Part,
        /// What happened and what was done.
        what: Text,
    }

    /// An inspection.
    Inspected {
        /// The container; absent when the whole place was inspected.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        batch: Option<Identifier>,
        /// What was found.
        found: Text,
    }

    /// The end of a container in the book.
    Closed {
        /// The container.
        batch: Identifier,
        /// Why what is left in it counts as lost; needed where anything is left.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        written_off: Option<Text>,
    }

    /// A reversal.
    Reversed {
        /// The entry that was wrong. Its reversal stands as long as the book.
        entry: Identifier,
        /// Why.
        reason: Text,
    }
}

/// What went through a container.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Work {
    /// Plates or paper took silver nitrate with them.
    Sensitized(Sensitized),
    /// Film, paper or plates left silver in the liquid.
    Fixed(Fixed),
}

/// What an entry is about: a container or a shipment.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Subject {
    /// A container, by its name.
    Container(Identifier),
    /// A shipment, by its name.
    Shipment(Identifier),
}

/// `container/NAME` or `shipment/NAME`; no name holds a slash.
impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Container(name) => write!(f, "container/{name}"),
            Self::Shipment(name) => write!(f, "shipment/{name}"),
        }
    }
}

impl FromStr for Subject {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.split_once('/') {
            Some(("container", name)) => Identifier::new(name).map(Self::Container),
            Some(("shipment", name)) => Identifier::new(name).map(Self::Shipment),
            _ => Err(format!(
                "`{text}` is no subject: expected container/NAME or shipment/NAME"
            )),
        }
    }
}

impl Event {
    /// What the event is about: every container and shipment that it reads or changes. A reversal is
    /// about what the entry that it names is about.
    #[must_use]
    pub fn subjects(&self) -> Vec<Subject> {
        let container = |name: &Identifier| Subject::Container(name.clone());
        match self {
            Self::Opened(e) => vec![container(&e.batch.id)],
            Self::MadeUp(e) | Self::Replenished(e) => [Some(&e.batch), e.from.as_ref()]
                .into_iter()
                .flatten()
                .map(container)
                .collect(),
            Self::Processed(e) => vec![container(&e.batch)],
            Self::Measured(e) => vec![container(&e.batch)],
            Self::ToppedUp(e) => vec![container(&e.batch)],
            Self::Transferred(e) => vec![container(&e.from), container(&e.into)],
            Self::Spent(e) => vec![container(&e.batch)],
            Self::Treated(e) => vec![container(&e.batch)],
            Self::ProductRecovered(e) => vec![container(&e.batch), container(&e.into)],
            Self::Shipped(e) => {
                vec![container(&e.batch), Subject::Shipment(e.shipment.clone())]
            }
            Self::Settled(e) => vec![Subject::Shipment(e.shipment.clone())],
            Self::Collected(e) => vec![container(&e.batch)],
            Self::Discharged(e) => vec![container(&e.batch)],
            Self::Spilled(e) => vec![container(&e.batch)],
            Self::Inspected(e) => e.batch.iter().map(container).collect(),
            Self::Closed(e) => vec![container(&e.batch)],
            Self::Reversed(_) => Vec::new(),
        }
    }

    /// The name of the event, as entries write it.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Opened(_) => "opened",
            Self::MadeUp(_) => "made_up",
            Self::Replenished(_) => "replenished",
            Self::Processed(_) => "processed",
            Self::Measured(_) => "measured",
            Self::ToppedUp(_) => "topped_up",
            Self::Transferred(_) => "transferred",
            Self::Spent(_) => "spent",
            Self::Treated(_) => "treated",
            Self::ProductRecovered(_) => "product_recovered",
            Self::Shipped(_) => "shipped",
            Self::Settled(_) => "settled",
            Self::Collected(_) => "collected",
            Self::Discharged(_) => "discharged",
            Self::Spilled(_) => "spilled",
            Self::Inspected(_) => "inspected",
            Self::Closed(_) => "closed",
            Self::Reversed(_) => "reversed",
        }
    }
}

/// The entries that were reversed, each with the entry that reverses it and its reason. A reversal
/// counts on whatever day it was made.
pub(super) fn reversals(entries: &[Entry]) -> BTreeMap<&Identifier, (&Entry, &Text)> {
    entries
        .iter()
        .filter_map(|entry| match &entry.event {
            Event::Reversed(reversal) => Some((&reversal.entry, (entry, &reversal.reason))),
            _ => None,
        })
        .collect()
}
