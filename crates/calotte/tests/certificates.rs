//! Certificates against dense sampling of the ordinary analysis, which knows nothing of them.

mod common;

use calotte::brief::*;
use calotte::certificate::{Certificate, Effort, Verdict, certificates};
use calotte::design::{Design, DriveLayout, DriveRange, Family, ScissorLinkage};
use calotte::family::triangle::{TriangleClass, cosine_at_tool, cosines_at_tool};
use calotte::kinematics::conditioning::{conditioning, lci_at};
use calotte::kinematics::range_choice::working_range;
use calotte::kinematics::working_range::{all_ranges, state_transmission};
use calotte::kinematics::{Kinematics, Margins};
use calotte::number::enclosure::Enclosure;
use calotte::quantity::Quantity;
use calotte::sphere::{Direction, Exclusion, Region, Shape};
use common::DEGREE;
use common::long_form::cases;
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

fn range(from: f64, to: f64) -> Range {
    Range {
        from: from * DEGREE,
        to: to * DEGREE,
        step: DEGREE,
    }
}

fn band(from: f64, to: f64) -> Region {
    Region {
        shape: Shape::Band {
            axis: Vector3::z(),
            polar_from: from * DEGREE,
            polar_to: to * DEGREE,
        },
        excluded: Vec::new(),
    }
}

/// One stage only, no limit, arcs of 8° to 100°, full coverage.
fn brief_of(region: Region, families: &[FamilyName], layouts: &[DriveLayout]) -> Brief {
    let mut brief = common::brief::brief();
    brief.region = region;
    brief.coverage_min = 1.0;
    brief.limits = Limits::default();
    brief.choice.families = families.to_vec();
    brief.choice.drive_layouts = layouts.to_vec();
    brief.choice.stages = vec![1];
    brief.choice.arc = range(8.0, 100.0);
    brief.choice.arm_arc = range(8.0, 100.0);
    brief
}

fn with_lci(brief: &Brief, limit: f64) -> Brief {
    let mut brief = brief.clone();
    brief.limits.set(Quantity::LciMin, Some(limit));
    brief
}

fn only(brief: &Brief) -> Certificate {
    let mut all = certificates(brief, &Effort::default());
    assert_eq!(all.len(), 1, "one class is asked for");
    all.remove(0)
}

/// The values are those of a plain optimiser (`oracles/best_index.py`).
#[test]
fn the_greatest_minimum_lci_of_the_band_is_bounded_from_both_sides() {
    for (layout, greatest) in [
        (DriveLayout::TwoBars, 0.62904),
        (DriveLayout::SwingAndOpening, 0.74701),
    ] {
        let brief = brief_of(band(12.0, 80.0), &[FamilyName::SCISSOR_LINKAGE], &[layout]);
        let free = only(&brief);
        let (upper, found) = (free.lci.upper.unwrap(), free.lci.found.unwrap());
        assert!(upper >= greatest - 5e-6, "{upper}");
        assert!(
            upper - found.value <= 5e-4 + 1e-7,
            "{upper} {}",
            found.value
        );
        assert!(found.value <= greatest + 5e-6, "{found:?}");
        assert!(found.coverage > 1.0 - 1e-9);
        let beyond = only(&with_lci(&brief, greatest + 0.002));
        assert_eq!(beyond.verdict, Verdict::Impossible(Quantity::LciMin));
        assert!(beyond.gci.is_none());
        let within = only(&with_lci(&brief, greatest - 0.002));
        assert_eq!(within.verdict, Verdict::Possible);
        assert!(within.lci.found.unwrap().value >= greatest - 0.002);
        assert!(within.gci.unwrap().found.is_some());
    }
}

/// The ordinary analysis of one linkage.
struct Sampled<'a> {
    brief: &'a Brief,
    class: TriangleClass,
    base: Design,
}

impl Sampled<'_> {
    fn families(&self, [near, far]: [f64; 2]) -> Vec<Family> {
        if self.class.stages().is_none() {
            return vec![Family::two_arc_arm([near, far])];
        }
        [1, -1]
            .map(|mode| {
                Family::scissor_linkage(ScissorLinkage {
                    proximal_arcs: vec![near],
                    distal_arcs: vec![far],
                    bends: Vec::new(),
                    assembly_modes: vec![mode],
                    sides: Default::default(),
                })
            })
            .to_vec()
    }

    /// LCI kept and GCI with enough covered, the greatest over both assembly modes and all
    /// tilts. What keeps no greater LCI than `above` may be said to keep less than it does.
    fn best(&self, arcs: [f64; 2], above: f64) -> Option<[f64; 2]> {
        let tilts = self.brief.choice.mount_tilt.iter();
        let each = tilts.flat_map(|tilt| {
            let mount = calotte::search::grid::mount(self.brief, *tilt);
            let region = self.brief.region.rotated(&mount.base_from_world());
            self.families(arcs)
                .into_iter()
                .filter_map(move |family| self.one(family, &region, above))
        });
        each.reduce(|a, b| [a[0].max(b[0]), a[1].max(b[1])])
    }

    fn one(&self, family: Family, region: &Region, above: f64) -> Option<[f64; 2]> {
        let mut design = self.base.clone();
        design.family = family;
        design.drives.layout = self.class.layout().unwrap_or(DriveLayout::SwingAndOpening);
        let kinematics = Kinematics::new(&design).unwrap();
        let limit = |quantity| self.brief.limits.get(quantity).unwrap_or(0.0);
        let with = |lci_min: f64| {
            let margins = Margins {
                lci_min,
                transmission_angle_min: limit(Quantity::TransmissionAngle),
            };
            let range = working_range(&kinematics, &DriveRange::default(), &margins, region)?;
            let summary = conditioning(&kinematics, &range, region);
            (summary.coverage.fraction >= self.brief.coverage_min - 1e-9).then_some(summary)
        };
        let summary = with(0.0)?;
        if self.brief.coverage_min >= 1.0 && !region.is_points() {
            return Some([summary.lci_min, summary.gci]);
        }
        // The margin up to which enough stays covered, in one piece.
        let (mut met, mut missed) = (above, 1.0);
        if with(met).is_none() {
            return Some([0.0, summary.gci]);
        }
        while missed - met > 1e-4 {
            let middle = 0.5 * (met + missed);
            match with(middle) {
                Some(_) => met = middle,
                None => missed = middle,
            }
        }
        Some([met, summary.gci])
    }

    /// The greatest LCI kept and the greatest GCI seen: a grid, then random linkages about the
    /// best by LCI, ever nearer to it where none is better.
    fn greatest(&self, random: &mut ChaCha8Rng) -> [f64; 2] {
        let [lo, hi] = [8.0, 100.0].map(|angle| angle * DEGREE);
        let (mut lci, mut gci, mut place) = (0.0, 0.0f64, [lo, lo]);
        let mut look = |arcs: [f64; 2], lci: &mut f64, place: &mut [f64; 2]| {
            let best = self.best(arcs, *lci).unwrap_or([0.0, 0.0]);
            gci = gci.max(best[1]);
            if best[0] > *lci {
                (*lci, *place) = (best[0], arcs);
            }
        };
        let at = |i: usize| lo + (hi - lo) * (i as f64 + 0.5) / GRID as f64;
        for i in 0..GRID {
            for j in 0..GRID {
                look([at(i), at(j)], &mut lci, &mut place);
            }
        }
        let mut width = (hi - lo) / GRID as f64;
        while width > 0.05 * DEGREE {
            let before = lci;
            for _ in 0..20 {
                let arcs =
                    place.map(|arc| (arc + random.random_range(-width..width)).clamp(lo, hi));
                look(arcs, &mut lci, &mut place);
            }
            if lci - before < 1e-3 {
                width *= 0.6;
            }
        }
        [lci, gci]
    }
}

/// Linkages along either side of the grid that sampling starts from.
const GRID: usize = 10;

/// Regions, classes, coverage and transmission angles of all kinds.
fn need(random: &mut ChaCha8Rng, index: u64) -> Brief {
    let mut angle = |from: f64, to: f64| from + (to - from) * random.random::<f64>();
    let tilted = |polar: f64| Direction {
        polar: polar * DEGREE,
        azimuth: 0.4,
    };
    let region = match index % 5 {
        0 => band(angle(8.0, 25.0), angle(50.0, 85.0)),
        1 => {
            let half_angle = angle(15.0, 30.0);
            Region::cap(Vector3::z(), half_angle * DEGREE)
        }
        2 => {
            let mut region = Region::cap(Vector3::z(), angle(60.0, 85.0) * DEGREE);
            region.excluded.push(Exclusion {
                axis: tilted(angle(0.0, 3.0)).vector(),
                half_angle: angle(10.0, 20.0) * DEGREE,
                why: String::new(),
            });
            region
        }
        3 => Region {
            shape: Shape::Points((0..6).map(|_| tilted(angle(20.0, 75.0)).vector()).collect()),
            excluded: Vec::new(),
        },
        _ => {
            let corner = |polar: f64, azimuth: f64| Direction {
                polar: polar * DEGREE,
                azimuth,
            };
            let corners = [(30.0, 0.0), (35.0, 1.2), (70.0, 1.0), (65.0, 0.1)];
            let corners =
                corners.map(|(polar, azimuth)| corner(polar + angle(-8.0, 8.0), azimuth).vector());
            Region {
                shape: Shape::Polygon(
                    calotte::sphere::polygon::Polygon::new(corners.to_vec()).unwrap(),
                ),
                excluded: Vec::new(),
            }
        }
    };
    // Caps and polygons lie beside the base axis.
    let tilts = match index % 5 {
        1 => vec![angle(40.0, 55.0) * DEGREE, angle(55.0, 70.0) * DEGREE],
        4 => vec![angle(50.0, 60.0) * DEGREE],
        _ => vec![0.0],
    };
    let (families, layouts) = match index % 3 {
        0 => ([FamilyName::SCISSOR_LINKAGE], [DriveLayout::TwoBars]),
        1 => ([FamilyName::TWO_ARC_ARM], [DriveLayout::TwoBars]),
        _ => (
            [FamilyName::SCISSOR_LINKAGE],
            [DriveLayout::SwingAndOpening],
        ),
    };
    let transmission = angle(15.0, 35.0) * DEGREE;
    let mut brief = brief_of(region, &families, &layouts);
    brief.choice.mount_tilt = tilts;
    // Points are few: one of six is 0.17 of them.
    brief.coverage_min = match index % 7 {
        2 => 0.9,
        3 if brief.region.is_points() => 0.8,
        _ => 1.0,
    };
    if index % 4 == 2 {
        brief
            .limits
            .set(Quantity::TransmissionAngle, Some(transmission));
    }
    brief
}

/// Whatever dense sampling finds is never refused, and what lies by a margin beyond it is. The
/// bounds lie above all that was sampled.
#[test]
fn sampled_needs_are_never_refused_and_needs_beyond_them_are() {
    (0..cases(10, 60)).into_par_iter().for_each(|index| {
        let mut random = ChaCha8Rng::seed_from_u64(1600 + index);
        let brief = need(&mut random, index);
        let free = only(&brief);
        let sampled = Sampled {
            brief: &brief,
            class: free.class,
            base: common::uniform(1, 30.0),
        };
        let [lci, sampled_gci] = sampled.greatest(&mut random);
        let (upper, found) = (free.lci.upper.unwrap_or(0.0), free.lci.found.as_ref());
        let said = format!(
            "{index}: sampled {lci}, bound {upper}, found {found:?}, {} boxes",
            free.lci.boxes
        );
        assert!(upper >= lci - 1e-9, "{said}");
        assert!(lci > 0.02, "nothing to ask: {said}");
        // What the certificate shows was judged by the ordinary analysis too, and is no worse.
        let known = found.unwrap().value;
        assert!(known >= lci - 2e-3 && known <= upper, "{said}");
        let within = only(&with_lci(&brief, lci - 2e-3));
        assert_eq!(within.verdict, Verdict::Possible, "{said}");
        let beyond = only(&with_lci(&brief, known.max(lci) + 4e-3));
        assert_eq!(
            beyond.verdict,
            Verdict::Impossible(Quantity::LciMin),
            "{said}"
        );
        let gci = free.gci.unwrap();
        assert!(
            gci.upper.unwrap() >= sampled_gci - 1e-9,
            "{index}: {gci:?} {sampled_gci}"
        );
        let mut asked = brief.clone();
        asked.limits.set(Quantity::Gci, Some(sampled_gci - 2e-3));
        assert_ne!(
            only(&asked).verdict,
            Verdict::Impossible(Quantity::Gci),
            "{index}"
        );
    });
}

fn random_kinematics(random: &mut ChaCha8Rng) -> (TriangleClass, [f64; 2], Kinematics) {
    let brief = brief_of(
        band(12.0, 80.0),
        &[FamilyName::SCISSOR_LINKAGE, FamilyName::TWO_ARC_ARM],
        &[DriveLayout::TwoBars, DriveLayout::SwingAndOpening],
    );
    let classes = TriangleClass::allowed(&brief.choice);
    assert_eq!(classes.len(), 3);
    let class = classes[random.random_range(0..3)];
    let arcs = [(); 2].map(|()| (8.0 + 130.0 * random.random::<f64>()) * DEGREE);
    let families = class.linkages(arcs);
    let mut design = common::uniform(1, 30.0);
    design.family = families[random.random_range(0..families.len())].clone();
    design.drives.layout = class.layout().unwrap_or(DriveLayout::SwingAndOpening);
    (class, arcs, Kinematics::new(&design).unwrap())
}

/// The triangle says what the closed form of the stages and of the arm says, in both assembly
/// modes and on both sides of the base axis; cos γ never changes its sign within a range of a
/// linkage with a loop.
#[test]
fn the_triangle_agrees_with_the_ordinary_analysis() {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let mut compared = 0;
    for _ in 0..cases(300, 5000) {
        let (class, [near, far], kinematics) = random_kinematics(&mut random);
        for range in all_ranges(&kinematics, &DriveRange::default(), &Margins::default()) {
            let mut signs = Vec::new();
            for _ in 0..8 {
                let share: f64 = random.random_range(0.02..0.98);
                let second = range.second[0] + share * (range.second[1] - range.second[0]);
                let state = kinematics.meridian.state(second);
                let polar = state.polar_angle();
                let cosine = cosine_at_tool(near, far, polar);
                let index = class.index(cosine, polar, far);
                let expected = lci_at(&kinematics, second);
                assert!((index - expected).abs() < 1e-8, "{index} {expected}");
                if let Some((angle, _)) = state_transmission(&state) {
                    let double = 2.0 * cosine.clamp(-1.0, 1.0).acos();
                    assert!((angle.sin() - double.sin().abs()).abs() < 1e-7);
                    signs.push(cosine > 0.0);
                }
                compared += 1;
            }
            assert!(signs.windows(2).all(|pair| pair[0] == pair[1]));
        }
    }
    assert!(compared > 1000);
}

#[test]
fn enclosures_hold_every_linkage_and_direction_inside() {
    let mut random = ChaCha8Rng::seed_from_u64(8);
    let classes = TriangleClass::allowed(
        &brief_of(
            band(12.0, 80.0),
            &[FamilyName::SCISSOR_LINKAGE, FamilyName::TWO_ARC_ARM],
            &[DriveLayout::TwoBars, DriveLayout::SwingAndOpening],
        )
        .choice,
    );
    for round in 0..2000 {
        let width = 10f64.powi(-(round % 5));
        let boxes = [(); 3].map(|()| {
            let lo = random.random_range(0.1..3.0);
            let hi: f64 = lo + width * random.random::<f64>();
            Enclosure::new(lo, hi.min(3.1))
        });
        let cosines = cosines_at_tool(boxes[0], boxes[1], boxes[2]);
        let closed = cosines.intersection(&Enclosure::new(-1.0, 1.0));
        for _ in 0..20 {
            let [near, far, polar] =
                boxes.map(|of| of.lo + of.width() * random.random_range(0.0..=1.0));
            let cosine = cosine_at_tool(near, far, polar);
            let slack = 1e-13 * cosine.abs().max(1.0);
            assert!(cosines.lo - slack <= cosine && cosine <= cosines.hi + slack);
            if cosine.abs() <= 1.0 {
                let closed = closed.unwrap();
                for class in &classes {
                    let upper = class.index_max(closed, boxes[2], boxes[1]);
                    let index = class.index(cosine, polar, far);
                    assert!(index <= upper + 1e-12, "{class:?} {index} {upper}");
                }
            }
        }
    }
}

#[test]
fn any_number_of_threads_gives_the_same_certificates() {
    let mut brief = brief_of(
        band(15.0, 75.0),
        &[FamilyName::SCISSOR_LINKAGE, FamilyName::TWO_ARC_ARM],
        &[DriveLayout::TwoBars, DriveLayout::SwingAndOpening],
    );
    brief.coverage_min = 0.97;
    let effort = Effort {
        lci_boxes: 1000,
        gci_boxes: 300,
        ..Effort::default()
    };
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        pool.build()
            .unwrap()
            .install(|| certificates(&brief, &effort))
    };
    let one = with(1);
    assert_eq!(one.len(), 3);
    assert_eq!(one, with(2));
    assert_eq!(one, with(5));
}

#[test]
fn too_few_boxes_leave_it_undecided_and_say_the_gap() {
    let layouts = [DriveLayout::TwoBars];
    let brief = brief_of(band(12.0, 80.0), &[FamilyName::SCISSOR_LINKAGE], &layouts);
    let effort = Effort {
        lci_boxes: 100,
        gci_boxes: 50,
        ..Effort::default()
    };
    let one = certificates(&with_lci(&brief, 0.631), &effort).remove(0);
    assert_eq!(one.verdict, Verdict::Undecided);
    assert!(one.lci.boxes >= 100 && one.lci.boxes < 200);
    assert!(one.lci.upper.unwrap() >= 0.631);
    assert!(one.lci.gap().unwrap() > 5e-4);
}

/// On the base axis LCI is 0: no arc helps, and no box needs to be cut.
#[test]
fn a_region_on_the_base_axis_has_no_lci_at_full_coverage() {
    let region = Region::cap(Vector3::z(), 60.0 * DEGREE);
    let brief = brief_of(
        region,
        &[FamilyName::SCISSOR_LINKAGE],
        &[DriveLayout::TwoBars],
    );
    let one = only(&with_lci(&brief, 0.01));
    assert_eq!(one.verdict, Verdict::Impossible(Quantity::LciMin));
    assert!(one.lci.upper.unwrap() < 1e-7 && one.lci.boxes == 1);
    let mut most = with_lci(&brief, 0.2);
    most.coverage_min = 0.95;
    assert_eq!(only(&most).verdict, Verdict::Possible);
}

/// Arcs that cannot reach the rim cover less than is asked, whatever the index.
#[test]
fn short_arcs_are_proved_not_to_reach() {
    let mut brief = brief_of(
        band(12.0, 80.0),
        &[FamilyName::SCISSOR_LINKAGE, FamilyName::TWO_ARC_ARM],
        &[DriveLayout::TwoBars],
    );
    brief.choice.arc = range(8.0, 39.0);
    brief.choice.arm_arc = range(8.0, 39.0);
    for one in certificates(&brief, &Effort::default()) {
        assert_eq!(one.verdict, Verdict::Impossible(Quantity::Coverage));
        assert_eq!(
            (one.lci.upper, &one.lci.found, &one.gci),
            (None, &None, &None)
        );
        assert_eq!(one.arcs, [[8.0 * DEGREE, 39.0 * DEGREE]; 2]);
    }
}

#[test]
fn only_what_can_be_proved_has_a_certificate() {
    let brief = common::brief::brief();
    let classes = |brief: &Brief| {
        let all = certificates(
            brief,
            &Effort {
                lci_boxes: 10,
                gci_boxes: 10,
                ..Effort::default()
            },
        );
        all.iter()
            .map(|one| (one.class.family_name(), one.class.stages()))
            .collect::<Vec<_>>()
    };
    let scissor = (FamilyName::SCISSOR_LINKAGE, Some(1));
    let arm = (FamilyName::TWO_ARC_ARM, None);
    assert_eq!(classes(&brief), [scissor, scissor, arm]);
    let mut more = brief.clone();
    more.choice.stages = vec![2, 3];
    assert_eq!(classes(&more), [arm]);
    more.kept = Some(Kept {
        design: common::arm(50.0, 50.0),
        ground: true,
        base: true,
        bars: Vec::new(),
        space: None,
    });
    assert!(classes(&more).is_empty());
}
