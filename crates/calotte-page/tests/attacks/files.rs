//! Files: what lies outside the folder stays out of reach, and no change is lost.

use std::sync::Barrier;

use serde_json::json;

use crate::site::Site;

const SECRET: &str = "secret = \"outside\"\n";

/// A site with a file outside and ways that might lead to it.
fn site() -> Site {
    let site = Site::start();
    std::fs::write(site.outside().join("secret.toml"), SECRET).unwrap();
    std::fs::write(site.folder.join("inside.toml"), "[linkage]\n").unwrap();
    std::fs::write(site.folder.join(".hidden.toml"), SECRET).unwrap();
    std::fs::create_dir(site.folder.join("folder.toml")).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::symlink;
        symlink(
            site.outside().join("secret.toml"),
            site.folder.join("link.toml"),
        )
        .unwrap();
        symlink(site.outside(), site.folder.join("out")).unwrap();
        symlink("..", site.folder.join("up")).unwrap();
    }
    site
}

/// What lies outside is as it was, and nothing was added.
fn assert_outside_untouched(site: &Site) {
    let mut names: Vec<_> = std::fs::read_dir(site.outside())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names, ["inside", "secret.toml"]);
    let text = std::fs::read_to_string(site.outside().join("secret.toml")).unwrap();
    assert_eq!(text, SECRET);
    assert!(site.folder.join(".hidden.toml").is_file());
}

/// Paths as they stand in an address, with the status they get.
fn ways_out(site: &Site) -> Vec<(String, u16)> {
    let absolute = site.outside().join("secret.toml");
    let absolute = absolute.to_str().unwrap();
    let mut ways = vec![
        ("../secret.toml".to_owned(), 403),
        ("%2e%2e%2fsecret.toml".to_owned(), 403),
        ("%2E%2E/secret.toml".to_owned(), 403),
        ("x/../../secret.toml".to_owned(), 403),
        ("./../secret.toml".to_owned(), 403),
        ("..%5csecret.toml".to_owned(), 400),
        ("..\\secret.toml".to_owned(), 400),
        (absolute.to_owned(), 403),
        (absolute.replace('/', "%2f"), 403),
        ("//secret.toml".to_owned(), 403),
        ("C:%5csecret.toml".to_owned(), 400),
        ("C:secret.toml".to_owned(), 400),
        ("inside.toml%00".to_owned(), 400),
        ("..%00/secret.toml".to_owned(), 400),
        ("%0a../secret.toml".to_owned(), 400),
        (".hidden.toml".to_owned(), 403),
        ("inside.txt".to_owned(), 400),
        (String::new(), 400),
        (format!("{}.toml", "x".repeat(300)), 400),
        ("%ff%fe.toml".to_owned(), 400),
    ];
    #[cfg(unix)]
    for way in ["link.toml", "out/secret.toml", "up/secret.toml"] {
        ways.push((way.to_owned(), 403));
    }
    ways
}

#[test]
fn no_path_leads_out_of_the_folder_by_reading() {
    let site = site();
    for (way, status) in ways_out(&site) {
        let answer = site.assert_refused(status, "GET /api/file", || {
            site.get(&format!("/api/file?path={way}"))
        });
        assert!(
            !answer.text().contains("outside"),
            "{way}: {}",
            answer.text()
        );
        assert!(answer.json()["error"].is_string());
    }
    // Decoded once, not twice: a strange name that is not there.
    let twice = site.get("/api/file?path=%252e%252e%252fsecret.toml");
    assert_eq!(twice.status, 404);
    assert_eq!(site.get("/api/file?path=folder.toml").status, 400);
    assert_eq!(site.get("/api/file?path=no.toml").status, 404);
    assert_eq!(site.get("/api/file").status, 400);
    let listed = site.get("/api/files").json();
    assert_eq!(listed["files"].as_array().unwrap().len(), 1, "{listed}");
    assert_eq!(listed["files"][0]["kind"], "design");
    let read = site.get("/api/file?path=inside.toml").json();
    assert_eq!(read["text"], "[linkage]\n");
    assert_eq!(read["sha256"], listed["files"][0]["sha256"]);
    site.assert_alive();
}

#[test]
fn no_path_leads_out_of_the_folder_by_saving() {
    let site = site();
    let absolute = site.outside().join("secret.toml");
    let mut ways = vec![
        ("../secret.toml", 403),
        ("../new.toml", 403),
        ("x/../../secret.toml", 403),
        ("..\\secret.toml", 400),
        (absolute.to_str().unwrap(), 403),
        ("inside.toml\0", 400),
        (".hidden.toml", 403),
        (".git/config.toml", 403),
        ("inside.sh", 400),
        ("", 400),
    ];
    if cfg!(unix) {
        ways.extend([
            ("link.toml", 403),
            ("out/secret.toml", 403),
            ("out/new.toml", 403),
            ("up/secret.toml", 403),
        ]);
    }
    for (way, status) in ways {
        site.assert_refused(status, "POST /api/file/save", || {
            site.save(json!({"path": way, "text": "x = 1\n"}))
        });
    }
    let folder = site.save(json!({"path": "folder.toml", "text": ""}));
    assert_eq!(folder.status, 400);
    let missing = site.save(json!({"path": "no/a.toml", "text": ""}));
    assert_eq!(missing.status, 404);
    let long = "#".repeat((1 << 20) + 1);
    assert_eq!(
        site.save(json!({"path": "a.toml", "text": long})).status,
        400
    );
    assert_outside_untouched(&site);
    site.assert_alive();
}

#[test]
fn no_address_of_the_page_leads_to_the_disk() {
    let site = site();
    for target in [
        "/../secret.toml",
        "/%2e%2e/secret.toml",
        "/..%2fsecret.toml",
        "/..%5csecret.toml",
        "/assets/../../secret.toml",
        "/assets/%2e%2e/%2e%2e/secret.toml",
        "//etc/passwd",
        "/etc/passwd",
        "/inside.toml",
        "/index.html/../../secret.toml",
        "/.vite/license.md",
    ] {
        let answer = site.assert_refused(404, "nothing there", || site.get(target));
        assert!(!answer.text().contains("outside"));
    }
    assert_outside_untouched(&site);
    site.assert_alive();
}

#[test]
fn a_file_that_changed_is_not_replaced() {
    let site = site();
    let sha = |answer: &crate::site::Answer| answer.json()["sha256"].as_str().unwrap().to_owned();
    let known = sha(&site.get("/api/file?path=inside.toml"));
    std::fs::write(site.folder.join("inside.toml"), "# by an editor\n").unwrap();
    let now = sha(&site.get("/api/file?path=inside.toml"));
    let answer = site.assert_refused(409, "POST /api/file/save", || {
        site.save(json!({
            "path": "inside.toml", "text": "x = 1\n", "expect_sha256": known,
        }))
    });
    assert_eq!(sha(&answer), now);
    let kept = site.save(json!({"path": "inside.toml", "text": "x = 1\n"}));
    assert_eq!(kept.status, 409);
    let text = || std::fs::read_to_string(site.folder.join("inside.toml")).unwrap();
    assert_eq!(text(), "# by an editor\n");
    let saved = site.save(json!({
        "path": "inside.toml", "text": "x = 1\n", "expect_sha256": now,
    }));
    assert_eq!(saved.status, 200);
    assert_eq!(text(), "x = 1\n");
    assert_eq!(sha(&saved), sha(&site.get("/api/file?path=inside.toml")));
    site.assert_alive();
}

/// Of saves that all know the same file, one is written; the others are told.
#[test]
fn of_saves_at_the_same_moment_one_wins() {
    const SAVERS: usize = 8;
    const ROUNDS: usize = 10;
    let site = site();
    for round in 0..ROUNDS {
        let known = site.get("/api/file?path=inside.toml").json()["sha256"].clone();
        let together = Barrier::new(SAVERS);
        let statuses: Vec<u16> = std::thread::scope(|scope| {
            let savers: Vec<_> = (0..SAVERS)
                .map(|saver| {
                    let (site, known, together) = (&site, &known, &together);
                    scope.spawn(move || {
                        let body = json!({
                            "path": "inside.toml",
                            "text": format!("round = {round}\nsaver = {saver}\n"),
                            "expect_sha256": known,
                        });
                        together.wait();
                        site.save(body).status
                    })
                })
                .collect();
            savers
                .into_iter()
                .map(|saver| saver.join().unwrap())
                .collect()
        });
        let won = statuses.iter().filter(|status| **status == 200).count();
        let told = statuses.iter().filter(|status| **status == 409).count();
        assert_eq!((won, told), (1, SAVERS - 1), "{statuses:?}");
        let text = std::fs::read_to_string(site.folder.join("inside.toml")).unwrap();
        let winner = statuses.iter().position(|status| *status == 200).unwrap();
        assert_eq!(text, format!("round = {round}\nsaver = {winner}\n"));
    }
    let left: Vec<_> = std::fs::read_dir(&site.folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.contains("unfinished"))
        .collect();
    assert_eq!(left, [""; 0]);
    site.assert_alive();
}
