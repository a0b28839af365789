//! Reagents in ordinary notation, taken apart into the components of the solver.

use super::formula::Formula;
use super::species::{Component, tables};
use super::system::Mixture;
use std::fmt;

/// One formula unit of a reagent in components and water.
#[derive(Debug, Clone, PartialEq)]
pub struct Reagent {
    /// Its formula.
    pub formula: Formula,
    /// Amount of each component in one mole.
    pub components: [i32; Component::COUNT],
    /// Water in one mole: of crystallization, and bound by the components (negative where a
    /// component takes water up).
    pub water: i32,
}

/// Why a reagent cannot be taken apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownReagent {
    /// The formula.
    pub formula: String,
    /// What is wrong, and what would be right.
    pub problem: String,
}

impl fmt::Display for UnknownReagent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {}",
            crate::quantity::quoted(&self.formula),
            self.problem
        )
    }
}

impl std::error::Error for UnknownReagent {}

/// How an ion may be written, and what it is made of: text, components, hydrogen, water.
struct Part {
    text: &'static str,
    components: &'static [(Component, i32)],
    hydrogen: i32,
    water: i32,
}

const fn part(
    text: &'static str,
    components: &'static [(Component, i32)],
    hydrogen: i32,
    water: i32,
) -> Part {
    Part {
        text,
        components,
        hydrogen,
        water,
    }
}

const CATIONS: &[Part] = &[
    part("NH4", &[(Component::Ammonia, 1)], 1, 0),
    part("Na", &[(Component::Sodium, 1)], 0, 0),
    part("Ag", &[(Component::Silver, 1)], 0, 0),
    part("Cu", &[(Component::Copper, 1)], 0, 0),
    part("Zn", &[(Component::Zinc, 1)], 0, 0),
    part("Fe", &[(Component::Iron, 1)], 0, 0),
    part("K", &[(Component::Potassium, 1)], 0, 0),
    part("H", &[], 1, 0),
];

const ANIONS: &[Part] = &[
    part("Cl", &[(Component::Chloride, 1)], 0, 0),
    part("Br", &[(Component::Bromide, 1)], 0, 0),
    part("I", &[(Component::Iodide, 1)], 0, 0),
    part("S2O3", &[(Component::Thiosulfate, 1)], 0, 0),
    part("S2O5", &[(Component::Sulfite, 2)], 2, -1),
    part("SO3", &[(Component::Sulfite, 1)], 0, 0),
    part("SO4", &[(Component::Sulfate, 1)], 0, 0),
    part("S", &[(Component::Sulfide, 1)], -1, 0),
    part("CN", &[(Component::Cyanide, 1)], 0, 0),
    part("SCN", &[(Component::Thiocyanate, 1)], 0, 0),
    part("CNS", &[(Component::Thiocyanate, 1)], 0, 0),
    part("NCS", &[(Component::Thiocyanate, 1)], 0, 0),
    part("CH3COO", &[(Component::Acetate, 1)], 0, 0),
    part("CH3CO2", &[(Component::Acetate, 1)], 0, 0),
    part("C2H3O2", &[(Component::Acetate, 1)], 0, 0),
    part("NO3", &[(Component::Nitrate, 1)], 0, 0),
    part("CO3", &[(Component::Carbonate, 1)], 0, 0),
    part("CrO4", &[(Component::Chromate, 1)], 0, 0),
    part("Cr2O7", &[(Component::Chromate, 2)], 2, -1),
    part("OH", &[], -1, 1),
    part("O", &[], -2, 1),
];

/// Molecules, and salts written with the anion first.
const WHOLE: &[Part] = &[
    part("H2O", &[], 0, 1),
    part("NH3", &[(Component::Ammonia, 1)], 0, 0),
    part("CO2", &[(Component::Carbonate, 1)], 2, -1),
    part("SO2", &[(Component::Sulfite, 1)], 2, -1),
];

impl Reagent {
    /// Takes a reagent apart: cations first and one kind of anion (or acetate first), brackets and
    /// hydrates allowed.
    ///
    /// # Errors
    /// [`UnknownReagent`] when a part is outside the set; it names what the set holds.
    ///
    /// ```
    /// use spent_silver_domain::chemistry::reagent::Reagent;
    /// use spent_silver_domain::chemistry::species::Component;
    /// let hypo = Reagent::parse("Na2S2O3.5H2O").unwrap();
    /// assert_eq!(hypo.of(Component::Thiosulfate), 1);
    /// assert_eq!((hypo.of(Component::Sodium), hypo.water), (2, 5));
    /// assert!(Reagent::parse("H2O2").is_err());
    /// ```
    pub fn parse(text: &str) -> Result<Self, UnknownReagent> {
        let formula = Formula::parse(text).map_err(|e| UnknownReagent {
            formula: text.to_owned(),
            problem: format!("is not a formula: character {}: {}", e.position, e.problem),
        })?;
        Self::of_formula(&formula)
    }

    /// Takes a formula that was read already apart.
    ///
    /// # Errors
    /// As [`Reagent::parse`].
    pub fn of_formula(formula: &Formula) -> Result<Self, UnknownReagent> {
        let unknown = |problem: &str| UnknownReagent {
            formula: formula.as_str().to_owned(),
            problem: problem.to_owned(),
        };
        if formula.charge() != 0 {
            return Err(unknown(
                "carries a charge: expected a whole salt, acid or base, such as AgNO3",
            ));
        }
        if let Some(problem) = refused(formula) {
            return Err(unknown(problem));
        }
        if !formula.is_plain_hydrate() {
            return Err(unknown(
                "is a double salt: expected each salt as a reagent of its own",
            ));
        }
        let mut out = Self {
            formula: formula.clone(),
            components: [0; Component::COUNT],
            water: i32::try_from(formula.hydrate_water()).unwrap_or_default(),
        };
        let salt = formula.anhydrous();
        let found = whole(salt, &mut out)
            || acetate_first(salt, &mut out)
            || cations_then_anion(salt, &mut out);
        if !found || !out.is_whole() {
            return Err(unknown(
                "is outside the set: expected a salt, acid or base of H, Ag, Na, K, NH4, Cu(II), Zn or Fe(II) with \
                 Cl, Br, I, NO3, OH, S2O3, SO3, SO4, S, CN, SCN, CO3, CrO4 or acetate, or NH3 or CO2",
            ));
        }
        Ok(out)
    }

    /// Amount of one component in one mole.
    #[must_use]
    pub const fn of(&self, component: Component) -> i32 {
        self.components[component.index()]
    }

    /// Whether atoms and charge come out as the formula says: a guard against a misread.
    fn is_whole(&self) -> bool {
        let t = tables();
        let mut charge = 0i64;
        let mut atoms: std::collections::BTreeMap<&str, i64> = std::collections::BTreeMap::new();
        for (row, amount) in t.components.iter().zip(self.components) {
            charge = charge
                .saturating_add(i64::from(row.formula.charge()).saturating_mul(i64::from(amount)));
            for (symbol, count) in row.formula.elements() {
                let entry = atoms.entry(symbol).or_default();
                *entry = entry.saturating_add(i64::from(*count).saturating_mul(amount.into()));
            }
        }
        let water = i64::from(self.water);
        let hydrogen = atoms.entry("H").or_default();
        *hydrogen = hydrogen.saturating_add(water.saturating_mul(2));
        let oxygen = atoms.entry("O").or_default();
        *oxygen = oxygen.saturating_add(water);
        atoms.retain(|_, n| *n != 0);
        charge == 0
            && atoms.len() == self.formula.elements().len()
            && self
                .formula
                .elements()
                .iter()
                .all(|(symbol, count)| atoms.get(symbol.as_str()) == Some(&i64::from(*count)))
    }

    fn add(&mut self, part: &Part, times: i32) {
        for (component, amount) in part.components {
            self.bump(*component, amount.saturating_mul(times));
        }
        self.bump(Component::Hydrogen, part.hydrogen.saturating_mul(times));
        self.water = self.water.saturating_add(part.water.saturating_mul(times));
    }

    fn bump(&mut self, component: Component, by: i32) {
        if let Some(slot) = self.components.get_mut(component.index()) {
            *slot = slot.saturating_add(by);
        }
    }
}

/// Reagents that would react by oxidation, or whose formula has a twin.
fn refused(formula: &Formula) -> Option<&'static str> {
    let salt = formula.anhydrous();
    let oxidizes = [
        "H2O2", "NaOCl", "NaClO", "KMnO4", "I2", "Br2", "Cl2", "O2", "O3", "HClO", "HOCl",
    ]
    .contains(&salt)
        || salt.starts_with("FeCl3")
        || salt.contains("Fe(CN)6")
        || salt.contains("S2O8")
        || formula.count("Mn") > 0
        || formula.count("Ce") > 0;
    if oxidizes {
        return Some(
            "oxidizes: the solver knows no oxidation or reduction beyond silver on copper, zinc or iron",
        );
    }
    let reduces = salt.contains("BH4") || salt.contains("S2O4");
    if reduces {
        return Some(
            "reduces: the solver knows no oxidation or reduction beyond silver on copper, zinc or iron; its dose is worked out by stoichiometry",
        );
    }
    None
}

fn whole(text: &str, out: &mut Reagent) -> bool {
    let Some(part) = WHOLE.iter().find(|p| p.text == text) else {
        return false;
    };
    out.add(part, 1);
    true
}

fn number(text: &str) -> (i32, &str) {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let (head, tail) = text.split_at(digits);
    if head.is_empty() {
        (1, tail)
    } else {
        (head.parse().unwrap_or(i32::MAX), tail)
    }
}

/// `CH3COONa`, `CH3COOH`, `(CH3COO)2Cu`: acetate written first.
fn acetate_first(text: &str, out: &mut Reagent) -> bool {
    for name in ["CH3COO", "CH3CO2"] {
        let Some(acetate) = ANIONS.iter().find(|p| p.text == name) else {
            continue;
        };
        let bracketed = text
            .strip_prefix('(')
            .and_then(|t| t.strip_prefix(name))
            .and_then(|t| t.strip_prefix(')'))
            .map(number);
        let Some((times, rest)) = bracketed.or_else(|| text.strip_prefix(name).map(|t| (1, t)))
        else {
            continue;
        };
        let Some(cation) = CATIONS.iter().find(|p| p.text == rest) else {
            continue;
        };
        out.add(acetate, times);
        out.add(cation, 1);
        return true;
    }
    false
}

fn cations_then_anion(text: &str, out: &mut Reagent) -> bool {
    if let Some((anion, times)) = anion_alone(text) {
        out.add(anion, times);
        return true;
    }
    for cation in CATIONS {
        let (times, rest) = if let Some(rest) = text
            .strip_prefix('(')
            .and_then(|t| t.strip_prefix(cation.text))
            .and_then(|t| t.strip_prefix(')'))
        {
            number(rest)
        } else if let Some(rest) = text.strip_prefix(cation.text) {
            // `NH4` ends in a digit of its own and takes a count only in brackets.
            if cation.text == "NH4" {
                (1, rest)
            } else {
                number(rest)
            }
        } else {
            continue;
        };
        if rest.is_empty() {
            continue;
        }
        let mut trial = out.clone();
        trial.add(cation, times);
        if cations_then_anion(rest, &mut trial) {
            *out = trial;
            return true;
        }
    }
    false
}

/// An anion that is all of the text: `NO3`, `(NO3)2`, `Cl2`.
fn anion_alone(text: &str) -> Option<(&'static Part, i32)> {
    for anion in ANIONS {
        if text == anion.text {
            return Some((anion, 1));
        }
        if let Some(rest) = text
            .strip_prefix('(')
            .and_then(|t| t.strip_prefix(anion.text))
            .and_then(|t| t.strip_prefix(')'))
        {
            let (times, tail) = number(rest);
            if tail.is_empty() {
                return Some((anion, times));
            }
        }
        // Only one-element anions take a bare count: `Cl2`, never `NO32`.
        let single = anion.text.chars().filter(char::is_ascii_uppercase).count() == 1
            && !anion.text.contains(|c: char| c.is_ascii_digit())
            && anion.text != "O";
        if single && let Some(rest) = text.strip_prefix(anion.text) {
            let (times, tail) = number(rest);
            if tail.is_empty() && times != 1 {
                return Some((anion, times));
            }
        }
    }
    None
}

impl Mixture {
    /// Adds so many moles of a reagent.
    pub fn add(&mut self, reagent: &Reagent, amount_mol: f64) {
        for (slot, nu) in self.totals_mol.iter_mut().zip(reagent.components) {
            if nu != 0 {
                *slot += f64::from(nu) * amount_mol;
            }
        }
        self.reagent_water_mol += f64::from(reagent.water) * amount_mol;
    }
}
