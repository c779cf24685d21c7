//! The test of the words can fail, and tells senses apart.

use std::path::Path;

use super::{against, list, paragraphs, remarks, strings, web};

const LIST: &str = "\
| term | meaning | not |
| --- | --- | --- |
| minimum | lowest value | `least`, `leaves {}` except `at least`, `least squares` |
";

fn wordings(text: &str) -> Vec<String> {
    let bans = list::read(LIST).unwrap();
    against(&bans, Path::new("a.rs"), &[(7, text.to_owned())])
}

#[test]
fn a_replaced_wording_is_found_with_its_place_and_term() {
    for text in [
        "Least stiffness",
        "least_stiffness_n_per_mm",
        "it leaves {} %",
        "x-least",
    ] {
        let found = wordings(text);
        assert_eq!(found.len(), 1, "{text}");
        assert!(
            found[0].contains("a.rs:7") && found[0].contains("write minimum"),
            "{}",
            found[0]
        );
    }
}

#[test]
fn another_sense_is_left_alone() {
    for text in [
        "at least 3 rows",
        "by least squares",
        "leaves 3 %",
        "{least} to {most}",
        "leastwise",
    ] {
        assert_eq!(wordings(text), Vec::<String>::new(), "{text}");
    }
    assert_eq!(wordings("at least the least of them").len(), 1);
}

#[test]
fn a_list_without_wordings_is_refused() {
    assert!(list::read("| term | meaning | not |\n| --- | --- | --- |\n| a | b | c |").is_err());
    assert!(list::read("| term | meaning | not |\n| a | b |").is_err());
    assert!(list::read("nothing").is_err());
}

#[test]
fn rust_strings_are_read_without_unit_tests_and_remarks() {
    let text = "/// Help text.\nfn f() { g(\"one \\\n  line\"); println!(\"two\"); } // three\n\
                #[cfg(test)]\nmod tests { const A: &str = \"four\"; }\n\
                #[error(\"five\")]\nstruct E { six: u8 }\n";
    let of = |documentation| -> Vec<String> {
        let found = strings::of(Path::new("a.rs"), text, documentation);
        found.into_iter().map(|(_, string)| string).collect()
    };
    assert_eq!(of(false), ["one line", "two", "five"]);
    assert_eq!(of(true), [" Help text.", "one line", "two", "five", "six"]);
}

#[test]
fn a_component_gives_its_texts_attributes_and_strings() {
    let text = "<script lang=\"ts\">\n  // none\n  const a = 'one';\n</script>\n\n\
                <p class=\"none\" title=\"two {b ? 'three' : ''}\">four {c < 1 ? \"five\" : d} six</p>\n\
                <!-- none -->\n<style>\n  p { content: 'none'; }\n</style>\n";
    let found = web::of_component(text);
    let texts: Vec<(usize, &str)> = found
        .iter()
        .map(|(line, text)| (*line, text.trim()))
        .collect();
    assert_eq!(
        texts,
        [
            (3, "one"),
            (6, "five"),
            (6, "four {} six"),
            (6, "three"),
            (6, "two {b ? 'three' : ''}"),
        ]
    );
}

#[test]
fn documents_are_read_by_paragraph_and_examples_by_remark() {
    assert_eq!(
        paragraphs("one\ntwo\n\n| three |\n| four |\nfive"),
        [
            (1, "one two".to_owned()),
            (4, "| three |".to_owned()),
            (5, "| four |".to_owned()),
            (6, "five".to_owned()),
        ]
    );
    assert_eq!(
        remarks("# one\n# two\na = 1   # three\n"),
        [(1, " one two".to_owned()), (3, " three".to_owned())]
    );
}
