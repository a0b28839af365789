//! A mixture laid out for the iteration: only what is present, in fixed arrays.

use super::super::reagent::Reagent;
use super::super::species::{Component, bits, tables};
use super::super::system::{
    ActivityModel, CarbonDioxide, LN_10, MAX_PHASES, MAX_SPECIES, MetalInContact, Mixture, System,
    WATER_KG_PER_MOL,
};

/// Room for components.
pub(super) const MAX_COMPONENTS: usize = 22;

/// What a phase may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PhaseKind {
    /// It is there or not: its amount is not negative, and it is never supersaturated.
    Optional,
    /// It is always in equilibrium, and its amount may have either sign.
    Fixed,
}

/// Index of the gas among a system's phases, and of the metal couple after it.
pub(super) fn gas_index() -> usize {
    tables().solids.len()
}

/// A reagent of which there is as much as holds the pH, laid out for the iteration: what a mole of it
/// brings.
#[derive(Clone, Copy)]
pub(super) struct Titration {
    pub of: [f64; MAX_COMPONENTS],
    pub water: f64,
    pub spectator_mol: f64,
    pub spectator_z2_mol: f64,
}

/// A mixture laid out for the iteration.
pub(super) struct Problem {
    pub model: ActivityModel,
    pub davies_a: f64,
    pub water_kg: f64,
    /// Water of the start and of the reagents, mol.
    pub water_total: f64,
    /// Components that take part: how many, and which.
    pub components: usize,
    pub component: [Component; MAX_COMPONENTS],
    /// Their totals from the reagents, mol.
    pub total: [f64; MAX_COMPONENTS],
    /// What the spectators (ions that form nothing) add to the sum of moles and of z^2 moles.
    pub spectator_mol: f64,
    pub spectator_z2_mol: f64,
    /// Species that can be: how many, and which row of the table each is.
    pub species: usize,
    pub species_row: [usize; MAX_SPECIES],
    pub nu: [[f64; MAX_COMPONENTS]; MAX_SPECIES],
    pub nu_water: [f64; MAX_SPECIES],
    pub ln_k: [f64; MAX_SPECIES],
    /// Size of the charge, 0 to 4.
    pub charge: [u8; MAX_SPECIES],
    /// Phases that can be.
    pub phases: usize,
    pub phase_id: [usize; MAX_PHASES],
    pub phase_kind: [PhaseKind; MAX_PHASES],
    pub phase_nu: [[f64; MAX_COMPONENTS]; MAX_PHASES],
    pub phase_water: [f64; MAX_PHASES],
    pub phase_ln_k: [f64; MAX_PHASES],
    pub phase_ions: [f64; MAX_PHASES],
    /// Amount at the start, mol.
    pub phase_start: [f64; MAX_PHASES],
    /// Local index of hydrogen and of silver.
    pub hydrogen: usize,
    pub silver: Option<usize>,
    /// Local index of the ion of the metal that exchanges with silver.
    pub couple: Option<usize>,
    /// What holds the pH, where something does.
    pub titration: Option<Titration>,
}

impl Problem {
    /// Room for a mixture, with nothing laid out in it.
    pub(super) const EMPTY: Self = Self {
        model: ActivityModel::Davies,
        davies_a: 0.0,
        water_kg: 0.0,
        water_total: 0.0,
        components: 0,
        component: [Component::Hydrogen; MAX_COMPONENTS],
        total: [0.0; MAX_COMPONENTS],
        spectator_mol: 0.0,
        spectator_z2_mol: 0.0,
        species: 0,
        species_row: [0; MAX_SPECIES],
        nu: [[0.0; MAX_COMPONENTS]; MAX_SPECIES],
        nu_water: [0.0; MAX_SPECIES],
        ln_k: [0.0; MAX_SPECIES],
        charge: [0; MAX_SPECIES],
        phases: 0,
        phase_id: [0; MAX_PHASES],
        phase_kind: [PhaseKind::Optional; MAX_PHASES],
        phase_nu: [[0.0; MAX_COMPONENTS]; MAX_PHASES],
        phase_water: [0.0; MAX_PHASES],
        phase_ln_k: [0.0; MAX_PHASES],
        phase_ions: [0.0; MAX_PHASES],
        phase_start: [0.0; MAX_PHASES],
        hydrogen: 0,
        silver: None,
        couple: None,
        titration: None,
    };

    /// Lays a mixture out in place of the last one; nothing beyond the new lengths is read.
    /// `couple` says whether the metal may exchange with silver, `titrant` what holds the pH.
    pub(super) fn lay_out(
        &mut self,
        system: &System,
        mixture: &Mixture,
        couple: bool,
        titrant: Option<&Reagent>,
    ) {
        let t = tables();
        let mut totals = mixture.totals_mol;
        totals[Component::Hydrogen.index()] += mixture.water_kg
            * match mixture.activity_model {
                ActivityModel::Davies => system.start_imbalance[0],
                ActivityModel::Ideal => system.start_imbalance[1],
            };

        let air = mixture.carbon_dioxide == CarbonDioxide::OpenToAir;
        let couple = if couple {
            mixture
                .metal
                .filter(|m| *m != MetalInContact::Ag)
                .and_then(MetalInContact::row)
        } else {
            None
        };
        let bit = |c: Component| 1u32 << c.index();
        let mut present = bit(Component::Hydrogen);
        for (i, total) in totals.iter().enumerate() {
            present |= u32::from(*total > 0.0) << i;
        }
        let brings = |i: usize| titrant.map_or(0.0, |t| f64::from(t.components[i]));
        if titrant.is_some() {
            for i in 0..Component::COUNT {
                present |= u32::from(brings(i) != 0.0) << i;
            }
        }
        for (solid, amount) in mixture.start() {
            if amount > 0.0 {
                present |= solid.mask;
            }
        }
        if air {
            present |= bit(Component::Carbonate);
        }
        let couple = couple.filter(|_| present & bit(Component::Silver) != 0);
        if let Some(metal) = couple {
            present |= bit(metal.ion);
        }

        let out = self;
        out.model = mixture.activity_model;
        out.davies_a = system.davies_a;
        out.water_kg = mixture.water_kg;
        out.water_total = mixture.water_kg / WATER_KG_PER_MOL + mixture.reagent_water_mol;
        out.components = 0;
        out.spectator_mol = 0.0;
        out.spectator_z2_mol = 0.0;
        out.species = 0;
        out.phases = 0;
        out.couple = None;
        out.titration = titrant.map(|t| Titration {
            of: [0.0; MAX_COMPONENTS],
            water: f64::from(t.water),
            spectator_mol: 0.0,
            spectator_z2_mol: 0.0,
        });

        // A component is a spectator when nothing but itself can be made of it.
        let possible = |mask: u32| mask & !present == 0;
        let mut busy = bit(Component::Hydrogen);
        for species in t.species.iter().skip(Component::COUNT) {
            if possible(species.mask) {
                busy |= species.mask;
            }
        }
        for (i, solid) in t.solids.iter().enumerate() {
            if mixture.solids.contains(i) && possible(solid.mask) {
                busy |= solid.mask;
            }
        }
        if let Some(metal) = couple {
            busy |= bit(metal.ion);
        }
        let busy = busy & present;

        let mut local = [usize::MAX; Component::COUNT];
        for i in bits(present) {
            if busy & (1 << i) == 0 {
                let charge = t.species.get(i).map_or(0.0, |s| f64::from(s.charge));
                out.spectator_mol += totals[i];
                out.spectator_z2_mol += totals[i] * charge * charge;
                if let Some(t) = &mut out.titration {
                    t.spectator_mol += brings(i);
                    t.spectator_z2_mol += brings(i) * charge * charge;
                }
                continue;
            }
            local[i] = out.components;
            if let Some(t) = &mut out.titration {
                t.of[out.components] = brings(i);
            }
            out.component[out.components] = Component::ALL[i];
            out.total[out.components] = totals[i];
            out.components += 1;
        }
        out.hydrogen = local[Component::Hydrogen.index()];
        out.silver = Some(local[Component::Silver.index()]).filter(|i| *i != usize::MAX);

        for (row, species) in t.species.iter().enumerate() {
            if species.mask & !busy != 0 || out.species >= MAX_SPECIES {
                continue;
            }
            let i = out.species;
            out.species_row[i] = row;
            out.nu[i] = [0.0; MAX_COMPONENTS];
            for c in bits(species.mask) {
                out.nu[i][local[c]] = f64::from(species.components[c]);
            }
            out.nu_water[i] = f64::from(species.water);
            out.ln_k[i] = system.ln_k[row];
            out.charge[i] = species.charge.unsigned_abs().min(4);
            out.species += 1;
        }

        for (id, solid) in t.solids.iter().enumerate() {
            if mixture.solids.contains(id) && possible(solid.mask) {
                out.add_phase(
                    id,
                    PhaseKind::Optional,
                    &solid.components,
                    f64::from(solid.water),
                    system.ln_k_phase[id],
                    mixture.start_mol[id].max(0.0),
                    &local,
                );
            }
        }
        let gas = gas_index();
        if mixture.carbon_dioxide != CarbonDioxide::Closed
            && present & bit(Component::Carbonate) != 0
        {
            let pressure = if air { t.air_log_pressure * LN_10 } else { 0.0 };
            out.add_phase(
                gas,
                if air {
                    PhaseKind::Fixed
                } else {
                    PhaseKind::Optional
                },
                &t.carbon_dioxide.components,
                f64::from(t.carbon_dioxide.water),
                system.ln_k_phase[gas] + pressure,
                0.0,
                &local,
            );
        }
        if let Some(metal) = couple {
            // n Ag(metal) + M(n+) = n Ag+ + M(metal): forming the phase plates n silver and dissolves one metal.
            let mut of = [0i8; Component::COUNT];
            of[Component::Silver.index()] = metal.electron_count as i8;
            of[metal.ion.index()] = -1;
            let silver_log_k = MetalInContact::Ag.row().map_or(0.0, |m| m.log_k);
            let ln_k = (f64::from(metal.electron_count) * silver_log_k - metal.log_k) * LN_10;
            // Without the ion in the mixture, the couple is what brings it in.
            let kind = if totals[metal.ion.index()] > 0.0 {
                PhaseKind::Optional
            } else {
                PhaseKind::Fixed
            };
            out.add_phase(gas + 1, kind, &of, 0.0, ln_k, 0.0, &local);
            out.couple = Some(local[metal.ion.index()]);
        }
    }

    /// What there is of each component when every solid of the start has dissolved and the metal
    /// has taken the silver, mol: where the search begins.
    pub(super) fn at_hand(&self) -> [f64; MAX_COMPONENTS] {
        let mut out = self.total;
        if let (Some(ion), Some(silver)) = (self.couple, self.silver) {
            for phase in 0..self.phases {
                for c in 0..self.components {
                    out[c] += self.phase_nu[phase][c] * self.phase_start[phase];
                }
            }
            out[ion] += 0.5 * out[silver];
            out[silver] *= 1e-12;
        }
        out
    }

    /// Whether a phase is taken as present when the search begins. Gas is, where a base may drive it out.
    pub(super) fn present_at_first(&self, phase: usize) -> bool {
        self.phase_kind[phase] == PhaseKind::Fixed
            || (self.phase_start[phase] > 0.0 && self.couple.is_none())
            || (self.titration.is_some() && self.phase_id[phase] == gas_index())
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "one row of the table, spread out"
    )]
    fn add_phase(
        &mut self,
        id: usize,
        kind: PhaseKind,
        of: &[i8; Component::COUNT],
        water: f64,
        ln_k: f64,
        start: f64,
        local: &[usize; Component::COUNT],
    ) {
        let p = self.phases;
        if p >= MAX_PHASES {
            return;
        }
        self.phase_id[p] = id;
        self.phase_kind[p] = kind;
        self.phase_nu[p] = [0.0; MAX_COMPONENTS];
        let mut ions = 0.0;
        for (nu, l) in of.iter().zip(local) {
            if *nu != 0 && *l != usize::MAX {
                self.phase_nu[p][*l] = f64::from(*nu);
                ions += f64::from(nu.abs());
            }
        }
        self.phase_water[p] = water;
        self.phase_ln_k[p] = ln_k;
        self.phase_ions[p] = f64::max(ions, 1.0);
        self.phase_start[p] = start;
        self.phases += 1;
    }
}
