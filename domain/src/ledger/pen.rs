//! One entry being written into the book: what it needs, what it moves, and what is refused.

use super::entry::{
    Closed, Entry, Event, Opened, Origin, Part, Processed, Reading, Recovered, Settled,
    SilverNitrateAdded, ToppedUp, Transferred, Treated, Whole, Work,
};
use super::fold::{Book, Movement, Place, Shipment, SilverReading, Unknown};
use super::holding::{Holding, Level, Taken};
use crate::answer::{Notes, Severity};
use crate::batch::{Batch, BatchKind, BatchStatus, Component};
use crate::estimate::{
    Evidence, HOUSEHOLD_SCALE, JUG_MARK, MakeUp, Spread, Throughput, bare_text, estimate_batch,
    reading_of, taken_by_plates,
};
use crate::fault::{Fault, FaultKind, Faults};
use crate::quantity::{Identifier, Measured, Unit, write_decimal};
use crate::valuation::refiner_spread;
use crate::waste::pour::{Act, PourReason, PourVerdict, bottle, check_act, check_pour_between};
use crate::waste::rule_set::RuleSet;

/// One entry being written into the book.
pub(super) struct Pen<'a> {
    pub book: &'a mut Book,
    pub entry: &'a Entry,
    pub at: &'a str,
    pub notes: &'a mut Notes,
}

impl Pen<'_> {
    /// Writes the entry into the book.
    pub fn write(&mut self, rules: &RuleSet) -> Result<(), Faults> {
        let entry = self.entry;
        match &entry.event {
            Event::Opened(e) => self.opened(e),
            Event::MadeUp(e) => self.added(e, true, rules),
            Event::Replenished(e) => self.added(e, false, rules),
            Event::Processed(e) => self.processed(e),
            Event::Measured(e) => self.measured(e),
            Event::ToppedUp(e) => self.topped_up(e),
            Event::Transferred(e) => self.transferred(e, rules),
            Event::Spent(e) => self.spent(&e.batch),
            Event::Treated(e) => self.treated(e),
            Event::ProductRecovered(e) => self.recovered(e),
            Event::Shipped(e) => self.shipped(&e.batch, &e.part, &e.shipment),
            Event::Settled(e) => self.settled(e),
            Event::Collected(e) => self.gone(&e.batch, &e.part, Place::Collected),
            Event::Discharged(e) => self.gone(&e.batch, &e.part, Place::Discharged),
            Event::Spilled(e) => self.gone(&e.batch, &e.part, Place::Lost),
            Event::Inspected(e) => match &e.batch {
                Some(batch) => self.open(batch, "batch").map(|_| ()).map_err(Into::into),
                None => Ok(()),
            },
            Event::Closed(e) => self.closed(e),
            // What it removes was left out before.
            Event::Reversed(_) => Ok(()),
        }
    }

    fn pointer(&self, field: &str) -> String {
        format!("{}/{field}", self.at)
    }

    /// Lists the usual spread of an amount that was given bare.
    fn assume_bare<U: Unit>(&mut self, field: &str, amount: Option<&Measured<U>>, spread: Spread) {
        let Some(amount) = amount.filter(|a| a.standard_uncertainty().is_none()) else {
            return;
        };
        let field = self.pointer(field);
        let text = bare_text(amount, "", spread);
        self.notes
            .assume("/movements", field, "common_practice", text);
    }

    /// A container that is in the book that day.
    fn open(&self, name: &Identifier, field: &str) -> Result<&Holding, Fault> {
        let Some(holding) = self.book.holdings.get(name) else {
            return Err(Fault::new(
                FaultKind::Unknown,
                self.pointer(field),
                format!(
                    "no container `{name}` was opened by {}: expected one that is in the book",
                    self.entry.on
                ),
            ));
        };
        match holding.closed_on {
            Some(day) => Err(Fault::new(
                FaultKind::Conflict,
                self.pointer(field),
                format!("`{name}` was closed on {day}: expected a container that is in the book"),
            )),
            None => Ok(holding),
        }
    }

    /// The container of that name, its readings made into one figure, so that its content can change.
    fn settled_holding(&mut self, name: &Identifier, field: &str) -> Result<&mut Holding, Faults> {
        let holding = self.open(name, field)?;
        let (level, before) = (holding.level()?, holding.base_variance());
        if let Some(level) = level
            && !self.book.conclude(name, level)
        {
            let found = self.book.records(name).map(|records| Level {
                grams: level.grams.saturating_sub(records),
                variance: level.variance + before,
            });
            if found.is_none_or(|f| !f.grams.is_zero()) {
                self.moves(
                    Place::Unexplained,
                    Place::Container(name.clone()),
                    found,
                    None,
                );
                self.book.records.insert(name.clone(), Some(level.grams));
            }
        }
        let missing = Fault::missing(self.pointer(field), "a container that is in the book");
        let holding = self.book.holdings.get_mut(name).ok_or(missing)?;
        holding.rest_on(level);
        Ok(holding)
    }

    fn moves(&mut self, from: Place, to: Place, silver: Option<Level>, share: Option<(f64, f64)>) {
        self.book.move_silver(Movement {
            entry: self.entry.id.clone(),
            on: self.entry.on,
            from,
            to,
            silver,
            share,
            concluded: false,
        });
    }

    fn opened(&mut self, e: &Opened) -> Result<(), Faults> {
        let at = self.pointer("batch");
        let name = &e.batch.id;
        if self.book.holdings.contains_key(name) {
            return Err(Fault::new(
                FaultKind::Conflict,
                format!("{at}/id"),
                format!(
                    "`{name}` is in the book already: expected a name that no container ever had"
                ),
            )
            .into());
        }
        let mut faults = e.batch.faults(&at);
        for (member, day) in [
            ("made_on", e.batch.made_on),
            ("waste_since", e.batch.waste_since),
            ("limit_exceeded_on", e.batch.limit_exceeded_on),
            ("diluted_on", e.batch.diluted_on),
        ] {
            if let Some(day) = day.filter(|day| *day > self.entry.on) {
                faults.push(Fault::new(
                    FaultKind::DateOrder,
                    format!("{at}/{member}"),
                    format!(
                        "{day} is after the day of this entry, {}: expected a day up to it",
                        self.entry.on
                    ),
                ));
            }
        }
        faults.extend(read_of_nothing(&e.batch, &at));
        Faults::none_of(faults)?;
        let origin = match e.origin {
            None | Some(Origin::OnHand) => Place::OnHand,
            Some(Origin::Bought) => Place::Bought,
            Some(Origin::Received) => Place::Received,
        };
        if !e.batch.evidence.is_empty() {
            // Everything that is wrong with the readings is said here, once.
            self.notes.within("/containers", |notes| {
                notes.as_a_whole(|notes| estimate_batch(&e.batch, &at, notes))
            })?;
        }
        self.assume_bare("batch/volume_l", e.batch.volume_l.as_ref(), JUG_MARK);
        self.assume_bare("batch/mass_kg", e.batch.mass_kg.as_ref(), HOUSEHOLD_SCALE);
        let holding = Holding::opened(&e.batch, self.entry.on);
        let level = holding.level()?;
        let here = Place::Container(name.clone());
        if level.is_none() {
            let unknown = Unknown {
                movement: self.book.movements.len(),
                alone: true,
            };
            self.book.unknown_at_first.insert(name.clone(), unknown);
        }
        if level != Some(Level::NONE) {
            self.moves(origin, here, level, None);
        }
        self.book.holdings.insert(name.clone(), holding);
        Ok(())
    }

    /// Silver by one piece of evidence, whose members stand at `at`.
    fn by(
        &mut self,
        batch: &Batch,
        evidence: &Evidence,
        at: &str,
    ) -> Result<Option<Level>, Faults> {
        let place = self.at;
        let found = self.notes.within("/movements", |notes| {
            notes.as_a_whole(|notes| reading_of(batch, place, evidence, at, notes))
        })?;
        Ok(found.map(Level::of))
    }

    fn added(
        &mut self,
        e: &SilverNitrateAdded,
        made_up: bool,
        rules: &RuleSet,
    ) -> Result<(), Faults> {
        let holding = self.open(&e.batch, "batch")?;
        if made_up && !holding.is_empty() {
            return Err(Fault::new(
                FaultKind::Conflict,
                self.pointer("batch"),
                format!(
                    "`{}` is not empty: expected `replenished`, or an empty container",
                    e.batch
                ),
            )
            .into());
        }
        if !made_up && holding.is_empty() {
            return Err(Fault::new(
                FaultKind::Conflict,
                self.pointer("batch"),
                format!(
                    "`{}` is empty: expected `made_up`, or a container with something in it",
                    e.batch
                ),
            )
            .into());
        }
        let nitrate = Identifier::new("silver_nitrate")
            .map_err(|_| Fault::missing(self.pointer("batch"), "silver nitrate"))?;
        self.refuse_danger(&bottle(&nitrate), holding.content(), "batch", rules)?;
        let evidence = Evidence::MakeUp(MakeUp {
            silver_nitrate_g: Some(e.silver_nitrate_g),
            strength_percent_w_v: None,
            made_volume_l: None,
            purity_percent: e.purity_percent,
            added_silver_nitrate_g: None,
            plates: Vec::new(),
            plate_area_m2: None,
            silver_nitrate_loss_g_per_m2: None,
            scale_resolution_g: e.scale_resolution_g,
            measured_on: None,
            sampled: None,
            shares: Vec::new(),
        });
        let scratch = Batch::named(e.batch.clone(), BatchKind::SensitizingBath);
        let at = self.at.to_owned();
        let Some(silver) = self.by(&scratch, &evidence, &at)? else {
            return Ok(());
        };
        let from = match &e.from {
            None => Place::Bought,
            Some(from) if *from == e.batch => {
                return Err(same(&self.pointer("from"), from).into());
            }
            Some(from) => {
                let place = self.pointer("from");
                let bottle = self.settled_holding(from, "from")?;
                bottle.lose(silver, &place)?;
                bottle.weighed_out(&e.silver_nitrate_g);
                Place::Container(from.clone())
            }
        };
        self.assume_bare("volume_after_l", e.volume_after_l.as_ref(), JUG_MARK);
        let on = self.entry.on;
        let holding = self.settled_holding(&e.batch, "batch")?;
        holding.gain(silver);
        let content = holding.content_mut();
        if made_up {
            // A new batch, whatever stood there before.
            content.made_on = Some(on);
            content.waste_since = None;
            content.limit_exceeded_on = None;
            content.diluted_on = None;
            content.mixed_in.clear();
            if content.status.is_some_and(BatchStatus::is_waste) {
                content.status = Some(BatchStatus::InUse);
            }
        }
        if let Some(volume) = e.volume_after_l {
            content.volume_l = Some(volume);
        }
        if !content.composition.iter().any(|c| c.substance == nitrate) {
            content.composition.push(Component::named(nitrate));
        }
        holding.forget_readings_of_liquid();
        self.fits(&e.batch, "volume_after_l")?;
        let here = Place::Container(e.batch.clone());
        self.moves(from, here, Some(silver), None);
        Ok(())
    }

    fn processed(&mut self, e: &Processed) -> Result<(), Faults> {
        self.filled(&e.batch)?;
        let batch = self.open(&e.batch, "batch")?.content().clone();
        let here = Place::Container(e.batch.clone());
        match &e.work {
            Work::Sensitized(work) => {
                let record = MakeUp {
                    silver_nitrate_g: None,
                    strength_percent_w_v: None,
                    made_volume_l: None,
                    purity_percent: None,
                    added_silver_nitrate_g: None,
                    plates: work.plates.clone(),
                    plate_area_m2: work.plate_area_m2,
                    silver_nitrate_loss_g_per_m2: work.silver_nitrate_loss_g_per_m2,
                    scale_resolution_g: None,
                    measured_on: None,
                    sampled: None,
                    shares: Vec::new(),
                };
                let at = self.pointer("work/sensitized");
                let taken = self.notes.within("/movements", |notes| {
                    notes.as_a_whole(|notes| taken_by_plates(&batch, &record, &at, notes))
                })?;
                let silver = Level::of(taken);
                self.settled_holding(&e.batch, "batch")?.lose(silver, &at)?;
                self.moves(here, Place::Material, Some(silver), None);
            }
            Work::Fixed(work) => {
                let evidence = Evidence::Throughput(Throughput {
                    items: work.items.clone(),
                    silver_already_removed_g: None,
                    measured_on: None,
                    sampled: None,
                    shares: Vec::new(),
                });
                let at = self.pointer("work/fixed");
                let silver = self.by(&batch, &evidence, &at)?;
                let silver = silver.unwrap_or(Level::NONE);
                self.settled_holding(&e.batch, "batch")?.gain(silver);
                self.moves(Place::Material, here, Some(silver), None);
            }
        }
        Ok(())
    }

    fn measured(&mut self, e: &Reading) -> Result<(), Faults> {
        if e.reading.is_none() && e.volume_l.is_none() && e.ph.is_none() {
            return Err(Fault::missing(
                self.pointer("reading"),
                "a reading of silver, volume or pH",
            )
            .into());
        }
        if self.open(&e.batch, "batch")?.is_empty() && e.reading.is_none() {
            let field = if e.volume_l.is_some() {
                "volume_l"
            } else {
                "ph"
            };
            return Err(Fault::new(
                FaultKind::Conflict,
                self.pointer(field),
                format!(
                    "`{}` is empty: expected an entry that put something in, or a reading of silver beside this one",
                    e.batch
                ),
            )
            .into());
        }
        self.assume_bare("volume_l", e.volume_l.as_ref(), JUG_MARK);
        if let Some(volume) = e.volume_l {
            if volume.decimal().is_zero() {
                return Err(
                    Fault::out_of_range(self.pointer("volume_l"), 0, "more than 0 L").into(),
                );
            }
            // What was read in grams per litre held for the volume before.
            let holding = self.settled_holding(&e.batch, "batch")?;
            let content = holding.content_mut();
            content.volume_l = Some(volume);
            content.gross_g = None;
            content.tare_g = None;
            holding.forget_fill();
            self.fits(&e.batch, "volume_l")?;
        }
        let on = self.entry.on;
        if let Some(evidence) = &e.reading {
            let at = self.pointer("reading");
            if let Some(day) = evidence.measured_on().filter(|day| *day != on) {
                return Err(Fault::new(
                    FaultKind::DateOrder,
                    format!("{at}/{}/measured_on", evidence.kind()),
                    format!("{day} is not the day of the entry: expected {on}, or none"),
                )
                .into());
            }
            if self.open(&e.batch, "batch")?.is_full_of_readings() {
                self.settled_holding(&e.batch, "batch")?;
            }
            let content = self.open(&e.batch, "batch")?.content().clone();
            let members = format!("{at}/{}", evidence.kind());
            if let Some(silver) = self.by(&content, evidence, &members)? {
                self.book.readings.push(SilverReading {
                    entry: self.entry.id.clone(),
                    on,
                    batch: e.batch.clone(),
                    silver,
                    after: self.book.movements.len(),
                });
            }
            let mut evidence = evidence.clone();
            evidence.set_measured_on(on);
            if let Some(holding) = self.book.holdings.get_mut(&e.batch) {
                holding.read(evidence);
                // Readings that cannot be combined are refused where they are made.
                holding.level()?;
            }
        }
        if let (Some(ph), Some(holding)) = (e.ph, self.book.holdings.get_mut(&e.batch)) {
            holding.content_mut().ph = Some(ph);
        }
        Ok(())
    }

    fn topped_up(&mut self, e: &ToppedUp) -> Result<(), Faults> {
        if e.water_l.decimal().is_zero() {
            return Err(Fault::out_of_range(self.pointer("water_l"), 0, "more than 0 L").into());
        }
        self.filled(&e.batch)?;
        self.warn_of_work(&e.batch)?;
        let content = self.open(&e.batch, "batch")?.content();
        let waste = content.waste_since.is_some() || content.status == Some(BatchStatus::Spent);
        if waste {
            self.notes.warn(
                "/containers",
                Severity::Caution,
                format!(
                    "Entry `{}` of {} put water into waste, `{}`. Dilution never turns a \"no\" into a \"yes\": what was hazardous stays so, and no reading after this shows otherwise.",
                    self.entry.id, self.entry.on, e.batch
                ),
            );
        }
        self.assume_bare("water_l", Some(&e.water_l), JUG_MARK);
        let on = self.entry.on;
        let holding = self.settled_holding(&e.batch, "batch")?;
        holding.dilute(&e.water_l, on);
        if waste {
            let content = holding.content_mut();
            content.diluted_on = content.diluted_on.or(Some(on));
        }
        self.fits(&e.batch, "water_l")?;
        Ok(())
    }

    /// Warns where a liquid was worked on that nobody is to work on, such as one with cyanide: the book
    /// keeps what was done, and says what it was.
    fn warn_of_work(&mut self, name: &Identifier) -> Result<(), Faults> {
        let content = self.open(name, "batch")?.content();
        if let Err(refusal) = check_act(content, Act::Recover) {
            self.notes.warn(
                "/containers",
                Severity::Danger,
                format!(
                    "Entry `{}` of {}: `{name}` was worked on, and ought not to be. {} {}",
                    self.entry.id,
                    self.entry.on,
                    refusal.reason,
                    refusal.never.join(" ")
                ),
            );
        }
        Ok(())
    }

    /// What stands in a container now goes into it.
    fn fits(&self, name: &Identifier, field: &str) -> Result<(), Fault> {
        let content = self.open(name, "batch")?.content();
        let (Some(container), Some(volume)) = (&content.container, &content.volume_l) else {
            return Ok(());
        };
        if container.has_room_for(volume.as_f64()) {
            return Ok(());
        }
        let capacity = container.capacity_l.map(|c| write_decimal(c.decimal()));
        Err(Fault::new(
            FaultKind::OutOfRange,
            self.pointer(field),
            format!(
                "{} L would stand in `{name}`, which holds {} L: expected no more than goes into it",
                write_decimal(volume.decimal()),
                capacity.unwrap_or_default()
            ),
        ))
    }

    fn filled(&self, name: &Identifier) -> Result<(), Fault> {
        if self.open(name, "batch")?.is_empty() {
            return Err(Fault::new(
                FaultKind::Conflict,
                self.pointer("batch"),
                format!("`{name}` is empty: expected a container with something in it"),
            ));
        }
        Ok(())
    }

    /// Takes a part out of a container. It is settled first, so that the part has its silver.
    fn take(&mut self, name: &Identifier, part: &Part) -> Result<(Taken, Batch), Faults> {
        let field = if matches!(self.entry.event, Event::Transferred(_)) {
            "from"
        } else {
            "batch"
        };
        let at = match part {
            Part::All(_) => self.pointer("part"),
            Part::VolumeL(_) => self.pointer("part/volume_l"),
            Part::MassKg(_) => self.pointer("part/mass_kg"),
        };
        match part {
            Part::All(_) => {}
            Part::VolumeL(volume) => self.assume_bare("part/volume_l", Some(volume), JUG_MARK),
            Part::MassKg(mass) => self.assume_bare("part/mass_kg", Some(mass), HOUSEHOLD_SCALE),
        }
        let holding = self.settled_holding(name, field)?;
        let content = holding.content().clone();
        let taken = holding.take(part, &at)?;
        Ok((taken, content))
    }

    fn transferred(&mut self, e: &Transferred, rules: &RuleSet) -> Result<(), Faults> {
        if e.from == e.into {
            return Err(same(&self.pointer("into"), &e.into).into());
        }
        let from = self.open(&e.from, "from")?.content().clone();
        let into = self.open(&e.into, "into")?.content().clone();
        match &e.incident {
            None => {
                for reason in self.refuse_danger(&from, &into, "into", rules)? {
                    let what = reason.in_words();
                    self.notes.warn(
                        "/containers",
                        Severity::Caution,
                        format!("`{}` was poured into `{}`. {what}", e.from, e.into),
                    );
                }
            }
            Some(what) => self.notes.warn(
                "/containers",
                Severity::Danger,
                format!(
                    "Entry `{}` of {} records an accident: `{}` got into `{}`. {what}",
                    self.entry.id, self.entry.on, e.from, e.into
                ),
            ),
        }
        let (taken, content) = self.take(&e.from, &e.part)?;
        let on = self.entry.on;
        let target = self.settled_holding(&e.into, "into")?;
        target.put(&taken, &content, on);
        self.fits(&e.into, "into")?;
        let (source, here) = (
            Place::Container(e.from.clone()),
            Place::Container(e.into.clone()),
        );
        self.moves(source, here, taken.silver, taken.share.or(Some((1.0, 0.0))));
        Ok(())
    }

    /// Refuses a mixture that the pour check does not let pass; of one that passes, what the check
    /// cautions against.
    fn refuse_danger(
        &self,
        from: &Batch,
        into: &Batch,
        field: &str,
        rules: &RuleSet,
    ) -> Result<Vec<PourReason>, Fault> {
        let safety = check_pour_between(from, into, rules, &mut Notes::default()).safety;
        if safety.verdict < PourVerdict::NotKnownToBeSafe {
            let mut cautions = safety.reasons;
            cautions.retain(|r| r.verdict == PourVerdict::Caution);
            return Ok(cautions);
        }
        let first = safety.reasons.first();
        let why = first.map_or_else(String::new, |r| format!(" {}", r.in_words()));
        Err(Fault::new(
            FaultKind::NotApplicable,
            self.pointer(field),
            format!(
                "`{}` does not go into `{}`.{why} If it happened, record it with `incident` and what was done.",
                from.id, into.id
            ),
        ))
    }

    fn spent(&mut self, name: &Identifier) -> Result<(), Faults> {
        self.filled(name)?;
        let (on, at) = (self.entry.on, self.pointer("batch"));
        let content = self.settled_holding(name, "batch")?.content_mut();
        if content.status == Some(BatchStatus::Spent) {
            let since = content
                .waste_since
                .map_or_else(String::new, |day| format!(" since {day}"));
            return Err(Fault::new(
                FaultKind::Conflict,
                at,
                format!("`{name}` is spent already{since}: expected a batch at work"),
            )
            .into());
        }
        content.status = Some(BatchStatus::Spent);
        content.waste_since = content.waste_since.or(Some(on));
        Ok(())
    }

    fn treated(&mut self, e: &Treated) -> Result<(), Faults> {
        self.filled(&e.batch)?;
        self.warn_of_work(&e.batch)?;
        let on = self.entry.on;
        let holding = self.settled_holding(&e.batch, "batch")?;
        holding.forget_readings_of_liquid();
        let content = holding.content_mut();
        content.status = Some(BatchStatus::Treated);
        content.waste_since = content.waste_since.or(Some(on));
        content.ph = e.ph;
        Ok(())
    }

    fn recovered(&mut self, e: &Recovered) -> Result<(), Faults> {
        if e.batch == e.into {
            return Err(same(&self.pointer("into"), &e.into).into());
        }
        self.filled(&e.batch)?;
        self.warn_of_work(&e.batch)?;
        let target = self.open(&e.into, "into")?.content().clone();
        let evidence = Evidence::WeighedSolid(e.product.clone());
        let at = self.pointer("product");
        let Some(silver) = self.by(&target, &evidence, &at)? else {
            return Ok(());
        };
        self.settled_holding(&e.batch, "batch")?.lose(silver, &at)?;
        let kept_in = self.settled_holding(&e.into, "into")?;
        kept_in.weighed_in(&e.product.wet_mass_g);
        kept_in.gain(silver);
        let (source, here) = (
            Place::Container(e.batch.clone()),
            Place::Container(e.into.clone()),
        );
        self.moves(source, here, Some(silver), None);
        Ok(())
    }

    fn shipped(
        &mut self,
        name: &Identifier,
        part: &Part,
        shipment: &Identifier,
    ) -> Result<(), Faults> {
        let before = self.book.shipments.get(shipment).copied();
        if before.is_some_and(|s| s.settled) {
            return Err(Fault::new(
                FaultKind::Conflict,
                self.pointer("shipment"),
                format!("shipment `{shipment}` is settled: expected one that is not"),
            )
            .into());
        }
        let silver = self.left(name, part, Place::Shipment(shipment.clone()))?;
        let sent = before.map_or(Some(Level::NONE), |s| s.sent);
        let now = Shipment {
            sent: sent.zip(silver).map(|(sent, more)| sent.plus(more)),
            settled: false,
        };
        self.book.shipments.insert(shipment.clone(), now);
        Ok(())
    }

    fn settled(&mut self, e: &Settled) -> Result<(), Faults> {
        let sent = match self.book.shipments.get(&e.shipment) {
            Some(shipment) if !shipment.settled => shipment.sent,
            Some(_) => {
                return Err(Fault::new(
                    FaultKind::Conflict,
                    self.pointer("shipment"),
                    format!(
                        "shipment `{}` is settled already: expected one statement",
                        e.shipment
                    ),
                )
                .into());
            }
            None => {
                return Err(Fault::new(
                    FaultKind::Unknown,
                    self.pointer("shipment"),
                    format!(
                        "no shipment `{}` was sent by {}: expected one that was",
                        e.shipment, self.entry.on
                    ),
                )
                .into());
            }
        };
        let value = e.silver_g.as_f64();
        let bare = refiner_spread();
        let uncertainty = e.silver_g.standard_uncertainty().map_or_else(
            || {
                let text = bare_text(&e.silver_g, "a refiner's figure", bare);
                let field = self.pointer("silver_g");
                self.notes
                    .assume("/movements", field, "common_practice", text);
                bare.standard(value).0
            },
            |(u, _)| u,
        );
        let reported = Level::of((value, uncertainty));
        let on_the_way = Place::Shipment(e.shipment.clone());
        self.moves(on_the_way.clone(), Place::Settled, Some(reported), None);
        let rest = sent.map(|sent| sent.less(reported));
        if rest.is_none_or(|r| !r.grams.is_zero()) {
            self.moves(on_the_way, Place::Unexplained, rest, None);
        }
        let now = Shipment {
            sent,
            settled: true,
        };
        self.book.shipments.insert(e.shipment.clone(), now);
        Ok(())
    }

    /// A part leaves for a place outside the containers.
    fn gone(&mut self, name: &Identifier, part: &Part, to: Place) -> Result<(), Faults> {
        self.left(name, part, to).map(|_| ())
    }

    /// As [`Self::gone`]; gives the silver in it.
    fn left(&mut self, name: &Identifier, part: &Part, to: Place) -> Result<Option<Level>, Faults> {
        let (taken, _) = self.take(name, part)?;
        let source = Place::Container(name.clone());
        self.moves(source, to, taken.silver, taken.share.or(Some((1.0, 0.0))));
        Ok(taken.silver)
    }

    fn closed(&mut self, e: &Closed) -> Result<(), Faults> {
        let holding = self.open(&e.batch, "batch")?;
        let full = !holding.is_empty();
        if full && e.written_off.is_none() {
            return Err(Fault::missing(
                self.pointer("written_off"),
                &format!("`{}` empty (poured out, shipped, collected, discharged or spilled by an entry), or why the rest counts as lost", e.batch),
            )
            .into());
        }
        if full {
            self.gone(&e.batch, &Part::All(Whole {}), Place::Lost)?;
        }
        let on = self.entry.on;
        if let Some(holding) = self.book.holdings.get_mut(&e.batch) {
            holding.closed_on = Some(on);
        }
        Ok(())
    }
}

/// A reading of a liquid in a container that would count as empty.
fn read_of_nothing(batch: &Batch, at: &str) -> Option<Fault> {
    let amount = batch.volume_l.is_some() || batch.mass_kg.is_some() || batch.gross_g.is_some();
    let read = batch.ph.is_some()
        || batch.flash_point_c.is_some()
        || batch.boiling_point_c.is_some()
        || batch.density_g_per_ml.is_some();
    (read && !amount && batch.evidence.is_empty()).then(|| {
        Fault::missing(
            format!("{at}/volume_l"),
            "how much is in it beside what was read of it: without an amount and without evidence the container is empty",
        )
    })
}

fn same(at: &str, name: &Identifier) -> Fault {
    Fault::new(
        FaultKind::Conflict,
        at,
        format!("`{name}` is the same container: expected another"),
    )
}
