//! What the manual allows is what the mechanics take, and what they refuse is refused with its
//! line.

use calotte::kinematics::{Margins, STAGES_MAX};
use calotte::search::Grid;
use calotte::subject::Subject;
use calotte_format::{read_brief, read_design};

fn design_of(stages: usize, tip: &str) -> String {
    let list = |value: &str, count: usize| vec![value; count].join(", ");
    format!(
        "[linkage]\nfamily = \"scissor-linkage\"\nproximal_arcs_deg = [{arcs}]\ndistal_arcs_deg = [{arcs}]\nbends_deg = [{bends}]\nassembly_modes = [{modes}]\njoint_radius_mm = 140\n[section]\nshape = \"rectangle\"\ntangential_mm = 4\nradial_mm = 4\n[material]\nname = \"PEEK\"\n[joints]\nrigid = true\n[tool]\ntip_radius_mm = {tip}\n",
        arcs = list("4", stages),
        bends = list("0", stages - 1),
        modes = list("1", stages),
    )
}

fn brief_of(stages: usize, tip: &str) -> String {
    format!(
        "[region]\nshape = \"cap\"\nhalf_angle_deg = 40\n[tool]\ntip_radius_mm = {tip}\n[space]\njoint_radius_mm = 140\n[choice]\nfamilies = [\"scissor-linkage\"]\nstages = [{stages}]\narc_deg = 4\n[joints]\nrigid = true\n"
    )
}

#[test]
fn as_many_stages_as_the_manual_allows_and_no_more() {
    let read = |stages| read_design(&design_of(stages, "100"));
    let design = read(STAGES_MAX).unwrap();
    assert!(Subject::alone(&design, Margins::default()).is_ok());
    let beyond = read(STAGES_MAX + 1)
        .unwrap_err()
        .in_file("x.toml")
        .to_string();
    assert!(beyond.contains("line 3"), "{beyond}");

    let read = |stages| read_brief(&brief_of(stages, "100"), &|_| unreachable!());
    assert_eq!(Grid::new(&read(STAGES_MAX).unwrap()).len(), 1);
    let beyond = read(STAGES_MAX + 1)
        .unwrap_err()
        .in_file("x.toml")
        .to_string();
    assert!(
        beyond.contains("stages = [17]") && beyond.contains("1 to 16"),
        "{beyond}"
    );
}

#[test]
fn a_tip_at_the_centre_is_refused_with_its_line() {
    for [design, brief] in [["0", "0"], ["-1", "-1"]] {
        let said = read_design(&design_of(2, design)).unwrap_err();
        let said = said.in_file("x.toml").to_string();
        assert!(
            said.contains("tip_radius_mm") && said.contains("above 0"),
            "{said}"
        );
        let said = read_brief(&brief_of(2, brief), &|_| unreachable!()).unwrap_err();
        let said = said.in_file("x.toml").to_string();
        assert!(
            said.contains("tip_radius_mm") && said.contains("above 0"),
            "{said}"
        );
    }
    let tiny = read_design(&design_of(2, "0.001")).unwrap();
    assert!(Subject::alone(&tiny, Margins::default()).is_ok());
}
