//! The search of islands: screening against the exact way, the same result for any number of
//! threads and after any stop, nothing beaten that is not, and more than a full grid of equal
//! arcs can have.

mod common;

use std::collections::HashMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use calotte::analysis::Requirements;
use calotte::brief::{Brief, FamilyName, Range};
use calotte::design::{Family, ScissorLinkage};
use calotte::evolution::{Genome, hypervolume};
use calotte::kinematics::Meridian;
use calotte::kinematics::screen::Screen;
use calotte::quantity::Quantity;
use calotte::search::{
    Effort, Explored, Grid, NoStore, Outcome, Store, Verdict, complete_design, evaluate,
    evaluate_group, explore, islands,
};
use calotte::sphere::Region;
use common::DEGREE;
use common::brief::brief;
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A brief whose arcs may differ, of one and two stages and arms.
fn free() -> Brief {
    let mut brief = brief();
    brief.choice.full_grid = false;
    brief.choice.stages = vec![1, 2];
    brief.choice.arc = Range {
        from: 12.0 * DEGREE,
        to: 50.0 * DEGREE,
        step: 1.0 * DEGREE,
    };
    brief
}

const EFFORT: Effort = Effort {
    screened: 150,
    looked_at: 25,
    seed: 4,
};

fn searched(brief: &Brief) -> Explored {
    explore(brief, &EFFORT, &NoStore).expect("nothing stops it")
}

#[test]
fn screening_agrees_with_the_exact_way() {
    let mut random = ChaCha8Rng::seed_from_u64(21);
    let (mut looked, mut covering) = (0, 0);
    let mut worst = [0.0_f64; 2];
    while covering < 150 {
        let mut number = |from: f64, to: f64| from + (to - from) * random.random::<f64>();
        let mut brief = free();
        brief.region = Region::cap(Vector3::z(), number(0.6, 1.4));
        let islands = islands(&brief);
        let island = &islands[looked % islands.len()];
        let genes = island.genes().iter();
        let genome: Genome = genes
            .map(|gene| number(0.0, f64::from(gene.last()) + 0.999) as u32)
            .collect();
        looked += 1;
        assert!(looked < 20_000);
        let requirements = Requirements::from_brief(&brief);
        let candidate = island.candidate(&brief, &genome);
        let Ok(design) = complete_design(&brief, &requirements, &candidate) else {
            continue;
        };
        let Ok(motion) = requirements.motion(&design) else {
            continue;
        };
        let exact = motion.summary();
        let screen = Screen::new(&motion.region, requirements.margins, design.drives.range);
        let screened = screen.look(&Meridian::of(&design).expect("a closed form"));
        if exact.coverage.fraction < 0.5 {
            // A range narrower than the samples may be passed over; never the other way round.
            let share = screened.map_or(0.0, |screened| screened.coverage);
            assert!(share < 0.5 + 3e-3, "{design:?}");
            continue;
        }
        covering += 1;
        let screened = screened.expect("a range");
        let off = [
            (screened.coverage - exact.coverage.fraction).abs(),
            (screened.gci - exact.gci).abs(),
        ];
        worst = [worst[0].max(off[0]), worst[1].max(off[1])];
        assert!(off[0] < 3e-3 && off[1] < 8e-3, "{off:?}: {design:?}");
    }
    println!("{covering} of {looked} cover half; coverage and GCI off by {worst:?} at most");
}

/// What is judged is judged as by itself, and no candidate beaten early would have changed the
/// front.
#[test]
fn what_is_beaten_early_is_beaten() {
    struct All(Mutex<HashMap<(usize, Genome), Verdict>>);
    impl Store for All {
        fn known(&self, _: usize, _: &Genome) -> Option<Verdict> {
            None
        }
        fn keep(&self, island: usize, genome: &Genome, verdict: &Verdict) {
            let mut all = self.0.lock().unwrap();
            all.insert((island, genome.clone()), verdict.clone());
        }
        fn stopped(&self) -> bool {
            false
        }
    }
    let brief = free();
    let requirements = Requirements::from_brief(&brief);
    let all = All(Mutex::new(HashMap::new()));
    let found = explore(&brief, &EFFORT, &all).unwrap();
    let all = all.0.into_inner().unwrap();
    assert_eq!(all.len(), found.outcomes.len());
    let beaten: usize = found.islands.iter().map(|island| island.beaten).sum();
    assert!(beaten > 30, "{beaten}");
    let mut compared = 0;
    for outcome in found.outcomes.iter().step_by(7) {
        let design = complete_design(&brief, &requirements, &outcome.candidate);
        let Ok(design) = design else { continue };
        let Ok(subject) = requirements.subject(&design) else {
            continue;
        };
        assert_eq!(evaluate(&subject, &requirements), outcome.verdict);
        compared += 1;
    }
    assert!(compared > 20, "{compared}");
}

#[test]
fn threads_change_nothing() {
    let brief = free();
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        pool.build().unwrap().install(|| searched(&brief))
    };
    let one = with(1);
    assert!(
        one.outcomes
            .iter()
            .filter(|outcome| outcome.feasible())
            .count()
            > 20
    );
    assert_eq!(one, with(2));
    assert_eq!(one, with(5));
}

/// What is found on an island does not depend on which others a brief allows.
#[test]
fn islands_do_not_depend_on_one_another() {
    let all = searched(&free());
    let mut alone = free();
    alone.choice.families = vec![FamilyName::SCISSOR_LINKAGE];
    alone.choice.stages = vec![2];
    let alone = searched(&alone);
    assert!(!alone.outcomes.is_empty() && alone.outcomes.len() < all.outcomes.len());
    let own = |outcome: &&Outcome| outcome.candidate.class() == alone.outcomes[0].candidate.class();
    let among: Vec<&Outcome> = all.outcomes.iter().filter(own).collect();
    assert_eq!(among.len(), alone.outcomes.len());
    for (one, other) in among.iter().zip(&alone.outcomes) {
        assert_eq!(one.candidate.angles, other.candidate.angles);
        assert_eq!(one.verdict, other.verdict);
    }
}

/// Stopped at any moment and taken up with what was kept, it finds the same and judges nothing
/// twice.
#[test]
fn a_search_stopped_at_any_moment_goes_on_to_the_same() {
    struct Stops {
        known: HashMap<(usize, Genome), Verdict>,
        kept: Mutex<HashMap<(usize, Genome), Verdict>>,
        left: AtomicUsize,
    }
    impl Store for Stops {
        fn known(&self, island: usize, genome: &Genome) -> Option<Verdict> {
            self.known.get(&(island, genome.clone())).cloned()
        }
        fn keep(&self, island: usize, genome: &Genome, verdict: &Verdict) {
            let key = (island, genome.clone());
            assert!(!self.known.contains_key(&key), "judged twice");
            self.kept.lock().unwrap().insert(key, verdict.clone());
            let _ = self
                .left
                .fetch_update(Ordering::SeqCst, Ordering::SeqCst, |left| {
                    left.checked_sub(1)
                });
        }
        fn stopped(&self) -> bool {
            self.left.load(Ordering::SeqCst) == 0
        }
    }
    let brief = free();
    let whole = searched(&brief);
    let mut random = ChaCha8Rng::seed_from_u64(8);
    let mut known = HashMap::new();
    let mut stops = 0;
    loop {
        let left = if stops < 6 {
            random.random_range(1..60)
        } else {
            usize::MAX
        };
        let store = Stops {
            known: known.clone(),
            kept: Mutex::new(HashMap::new()),
            left: AtomicUsize::new(left),
        };
        let found = explore(&brief, &EFFORT, &store);
        known.extend(store.kept.into_inner().unwrap());
        match found {
            Some(found) => {
                assert_eq!(found, whole);
                break;
            }
            None => stops += 1,
        }
    }
    assert_eq!(stops, 6);
}

/// Volume of stiffness (N/mm over 60), GCI above 0.3 and mass below 2 kg.
fn volume<'a>(outcomes: impl Iterator<Item = &'a Outcome>) -> f64 {
    let points: Vec<[f64; 3]> = outcomes
        .filter(|outcome| outcome.feasible())
        .map(|outcome| {
            let value = |quantity| outcome.verdict.values.get(quantity).unwrap();
            [
                -value(Quantity::Stiffness) / 60e3,
                -(value(Quantity::Gci) - 0.3) / 0.7,
                value(Quantity::MovingMass) / 2.0 - 1.0,
            ]
        })
        .collect();
    let points: Vec<&[f64]> = points.iter().map(|point| point.as_slice()).collect();
    hypervolume(&points, &[0.0; 3])
}

/// Arcs that may differ include those that are equal, and a short search finds more than a full
/// grid of those.
#[test]
fn arcs_that_differ_dominate_more_than_a_grid_of_equal_ones() {
    let brief = free();
    let mut equal = brief.clone();
    equal.choice.full_grid = true;
    let grid = Grid::new(&equal);
    let groups = 0..grid.groups.len();
    let all: Vec<Outcome> = groups
        .flat_map(|group| evaluate_group(&equal, &grid, group))
        .collect();
    let by_grid = volume(all.iter());
    let found = searched(&brief);
    let by_search = volume(found.outcomes.iter());
    println!(
        "grid of {}: {by_grid:.4}; search, {} judged: {by_search:.4}",
        all.len(),
        found.outcomes.len()
    );
    assert!(
        by_grid > 0.01 && by_search > 1.05 * by_grid,
        "{by_grid} {by_search}"
    );
}

/// All stages and bends the other way round is the mirror image, so that one of both is searched.
#[test]
fn assemblies_are_gone_through_once() {
    let mut brief = free();
    brief.choice.families = vec![FamilyName::SCISSOR_LINKAGE];
    brief.choice.stages = vec![1, 2, 3, 4];
    let all = islands(&brief);
    let of = |stages: usize| {
        let own = all
            .iter()
            .filter(|one| one.variant.stages() == Some(stages));
        own.map(|one| one.variant.turned_stages())
            .collect::<Vec<_>>()
    };
    let layouts = brief.choice.drive_layouts.len();
    let counts = |all: &dyn Fn(usize) -> usize| [1, 2, 3, 4].map(|stages| all(stages) / layouts);
    assert_eq!(counts(&|stages| of(stages).len()), [1, 4, 1, 1]);
    // Where bends may lie either way alike, one of each pair of mirror images is left.
    let mut either = brief.clone();
    either.choice.bend.from = -either.choice.bend.to;
    let either = islands(&either);
    let count = |stages: usize| {
        let own = either
            .iter()
            .filter(|one| one.variant.stages() == Some(stages));
        own.count()
    };
    assert_eq!(counts(&count), [1, 2, 1, 1]);
    // The mirror image reaches the same.
    let requirements = Requirements::from_brief(&brief);
    let mut random = ChaCha8Rng::seed_from_u64(2);
    let mut seen = 0;
    for _ in 0..4000 {
        let island = &all[random.random_range(0..all.len())];
        let genes = island.genes().iter();
        let genome: Genome = genes
            .map(|gene| random.random_range(0..=gene.last()))
            .collect();
        let candidate = island.candidate(&brief, &genome);
        let Ok(design) = complete_design(&brief, &requirements, &candidate) else {
            continue;
        };
        let [proximal, distal, bends] = candidate.angles.lists();
        let modes = candidate.angles.assembly_modes().iter();
        let mut mirrored = design.clone();
        mirrored.family = Family::scissor_linkage(ScissorLinkage {
            proximal_arcs: proximal.to_vec(),
            distal_arcs: distal.to_vec(),
            bends: bends.iter().map(|bend| -bend).collect(),
            assembly_modes: modes.map(|mode| -*mode).collect(),
            sides: Default::default(),
        });
        let screen = |design| {
            let region = brief.region.rotated(&design_frame(design));
            let screen = Screen::new(&region, requirements.margins, Default::default());
            screen.look(&Meridian::of(design).unwrap())
        };
        let (own, other) = (screen(&design), screen(&mirrored));
        let Some(own) = own else { continue };
        seen += 1;
        let other = other.expect("the mirror image has a range too");
        assert!(
            (own.coverage - other.coverage).abs() < 3e-4,
            "{own:?} {other:?} {candidate:?}"
        );
        assert!((own.gci - other.gci).abs() < 3e-4);
    }
    assert!(seen > 20, "{seen}");
}

fn design_frame(design: &calotte::design::Design) -> nalgebra::Matrix3<f64> {
    design.mount.base_from_world()
}
