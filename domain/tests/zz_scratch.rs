#![allow(clippy::all, clippy::unwrap_used, clippy::print_stdout)]
use spent_silver_domain::recovery::*;
#[test]
fn scratch() {
    for f in [
        "/tmp/scratch1.json",
        "/tmp/scratch2.json",
        "/tmp/scratch3.json",
        "/tmp/scratch4.json",
    ] {
        let Ok(t) = std::fs::read_to_string(f) else {
            continue;
        };
        let r: RecoveryPlansRequest = serde_json::from_str(&t).unwrap();
        let t0 = std::time::Instant::now();
        let a = plan_recovery(&r).unwrap();
        let dt = t0.elapsed();
        let t1 = std::time::Instant::now();
        let _ = plan_recovery(&r).unwrap();
        println!("{f} {dt:?} {:?}", t1.elapsed());
        let mut v = serde_json::to_value(&a).unwrap();
        for p in v["result"]["plans"].as_array_mut().unwrap() {
            let p = &mut p["plan"];
            println!("== {}", p["process"]);
            for k in [
                "reagents",
                "equilibrium_floor",
                "floor_unknown",
                "wash_losses",
                "metal_dissolved",
                "dose_for_residual",
                "head_space",
                "cell",
                "charge",
            ] {
                println!("{k}: {}", p[k]);
            }
            let c = &p["dose_curve"];
            if c.is_object() {
                for q in c["points"].as_array().unwrap() {
                    println!(
                        "  {} {} {}",
                        q["added_g"], q["residual_silver_mg_per_l"], q["ph"]
                    );
                }
                println!(
                    "least {} advised {} doubled {} safe {} {}",
                    c["least"], c["advised"], c["doubled_at_g"], c["safe_up_to_g"], c["text"]
                );
            }
        }
        println!("NA {:#}", v["result"]["not_applicable"]);
        println!("ASSUME {:#}", v["assumptions"]);
    }
}
