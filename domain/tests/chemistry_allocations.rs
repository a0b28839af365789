//! After its first solution a thread solves without taking memory from the heap.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use spent_silver_domain::chemistry::reagent::Reagent;
use spent_silver_domain::chemistry::system::{CarbonDioxide, MetalInContact, Mixture, System};

fn liquor(list: &[(&str, f64)]) -> Mixture {
    let mut m = Mixture::new(1.0);
    for (formula, mol) in list {
        m.add(&Reagent::parse(formula).unwrap(), *mol);
    }
    m
}

#[test]
fn no_solution_takes_memory_from_the_heap() {
    let bath = liquor(&[("AgNO3", 0.53), ("HNO3", 0.001), ("NaCl", 0.55)]);
    let fixer = liquor(&[
        ("Na2S2O3", 1.0),
        ("Na2SO3", 0.1),
        ("CH3COOH", 0.1),
        ("AgNO3", 0.03),
        ("KBr", 0.03),
    ]);
    let mut sulfide = fixer.clone();
    sulfide.add(&Reagent::parse("Na2S").unwrap(), 0.02);
    let mut cementing = fixer.clone();
    cementing.metal = Some(MetalInContact::Fe);
    let mut acid = liquor(&[("HNO3", 0.1), ("NaHCO3", 0.09)]);
    acid.carbon_dioxide = CarbonDioxide::VentsAtSaturation;
    // Loads the tables and takes the thread's room.
    let start = System::at_25_c().solve(&bath).unwrap();
    for mixture in [&bath, &fixer, &sulfide, &cementing, &acid] {
        let taken = allocation_counter::measure(|| {
            System::at_25_c().solve(mixture).unwrap();
            System::at_25_c().solve_from(mixture, Some(&start)).unwrap();
        });
        assert_eq!(taken.count_total, 0, "{mixture:?}");
    }
}
