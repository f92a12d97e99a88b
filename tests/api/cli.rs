//! The command line: one clear line when something cannot be done, and nothing damaged.
use crate::harness::{Device, Done, Server, err, file_with, id, out, run, run_on};
use serde_json::{Value, json};
use std::fs;
use std::process::Output;

/// Expects this exit code and exactly one line on the standard error, with these words in it.
fn check_line(output: &Output, code: i32, words: &[&str]) {
    let line = err(output);
    assert_eq!(output.status.code(), Some(code), "{line}");
    assert_eq!(line.trim_end().lines().count(), 1, "{line}");
    words.iter().for_each(|word| assert!(line.contains(word), "{line:?} lacks {word:?}"));
    assert_eq!(out(output), "", "nothing on the standard output");
}

#[test]
fn a_second_server_on_the_same_store_is_refused_by_name() -> Done {
    let server = Server::start()?;
    let process = format!("(process {})", server.process());
    let second = run_on(server.folder(), &["serve", "--listen", "127.0.0.1:0"])?;
    check_line(&second, 1, &["another Tripoise has this store open", &process]);
    check_line(&run_on(server.folder(), &["rebuild"])?, 1, &[&process]);
    check_line(&run_on(server.folder(), &["verify"])?, 1, &[&process]);
    server.post(&json!(Device::new(1).events(1)))?;
    assert_eq!(server.all_ids()?.len(), 1, "the first one goes on");
    Ok(())
}

#[test]
fn a_port_in_use_and_a_bad_address_are_one_line() -> Done {
    let server = Server::start()?;
    let folder = tempfile::tempdir()?;
    let address = server.url.trim_start_matches("http://");
    let second = run_on(folder.path(), &["serve", "--listen", address])?;
    check_line(&second, 1, &["port", "in use", "--listen"]);
    for address in ["0.0.0.0:7450", "192.0.2.1:7450", "[::]:7450"] {
        let refused = run_on(folder.path(), &["serve", "--listen", address])?;
        check_line(&refused, 2, &[address, "network", "127.0.0.1:7450"]);
    }
    for address in ["7450", "localhost", "127.0.0.1", "127.0.0.1:99999", ""] {
        check_line(&run_on(folder.path(), &["serve", "--listen", address])?, 2, &["address and a port"]);
    }
    Ok(())
}

#[test]
fn an_export_imports_into_an_empty_store_once() -> Done {
    let server = Server::start()?;
    let events = Device::new(1).events(250);
    for chunk in events.chunks(200) {
        server.post(&json!(chunk))?;
    }
    let export = run_on(server.folder(), &["export"])?;
    assert!(export.status.success(), "{}", err(&export));
    let lines: Vec<Value> = out(&export).lines().map(serde_json::from_str).collect::<Result<_, _>>()?;
    assert_eq!(lines, events, "as sent, oldest first, while the server runs");
    let (file, folder) = (file_with(&out(&export))?, tempfile::tempdir()?);
    let path = file.path().to_string_lossy();
    let import = run_on(folder.path(), &["import", &path])?;
    assert_eq!(out(&import), "250 events imported, 0 were there already, 0 in conflict\n");
    let again = run_on(folder.path(), &["import", &path])?;
    assert_eq!(out(&again), "0 events imported, 250 were there already, 0 in conflict\n");
    assert_eq!(out(&run_on(folder.path(), &["export"])?), out(&export));
    let copy = Server::start_on(folder.path())?;
    assert_eq!(copy.all_ids()?, events.iter().map(id).collect::<Vec<_>>());
    let journal = folder.path().join("journal/events-000001.txt");
    let third = tempfile::tempdir()?;
    let segment = run_on(third.path(), &["import", &journal.to_string_lossy()])?;
    assert_eq!(out(&segment), out(&import), "a segment of a journal imports too");
    Ok(())
}

#[test]
fn an_import_with_bad_lines_names_them_and_imports_nothing() -> Done {
    let events = Device::new(1).events(4);
    let text = format!("{}\n\n{{\"id\":5}}\n{}\nnot json\n", events[0], events[1]);
    let (file, folder) = (file_with(&text)?, tempfile::tempdir()?);
    let import = run_on(folder.path(), &["import", &file.path().to_string_lossy()])?;
    let said = err(&import);
    assert_eq!(import.status.code(), Some(1));
    assert!(said.contains("nothing was imported: 2 lines") && said.contains("line 3"), "{said}");
    assert!(said.contains("line 5: it does not start with a checksum"), "{said}");
    assert!(!folder.path().join("journal").exists(), "not even a store was made");
    check_line(&run_on(folder.path(), &["import", "/no/such/file"])?, 1, &["/no/such/file"]);
    Ok(())
}

#[test]
fn verify_says_what_is_wrong_and_changes_nothing() -> Done {
    let folder = tempfile::tempdir()?;
    let mut server = Server::start_on(folder.path())?;
    server.post(&json!(Device::new(1).events(9)))?;
    server.signal("TERM")?;
    let fine = run_on(folder.path(), &["verify"])?;
    assert_eq!(
        (fine.status.code(), out(&fine).as_str()),
        (Some(0), "9 events: journal, index and fold agree\n")
    );
    let journal = folder.path().join("journal/events-000001.txt");
    let text = fs::read_to_string(&journal)?;
    fs::write(&journal, text.replacen("new calipers", "old calipers", 1))?;
    let bent = fs::read_to_string(&journal)?;
    let wrong = run_on(folder.path(), &["verify"])?;
    assert_eq!(wrong.status.code(), Some(1));
    assert!(out(&wrong).contains("events-000001.txt, line 1: its checksum"), "{}", out(&wrong));
    assert_eq!(fs::read_to_string(&journal)?, bent);
    let refused = run_on(folder.path(), &["serve", "--listen", "127.0.0.1:0"])?;
    check_line(&refused, 1, &["events-000001.txt, line 1", "restore", "--set-aside-damaged"]);
    let export = run_on(folder.path(), &["export"])?;
    assert_eq!((export.status.code(), out(&export).lines().count()), (Some(1), 8), "what reads is exported");
    let rebuilt = run_on(folder.path(), &["rebuild", "--set-aside-damaged"])?;
    assert!(out(&rebuilt).contains("the index holds 8 events"), "{}", out(&rebuilt));
    assert_eq!(Server::start_on(folder.path())?.all_ids()?.len(), 8);
    Ok(())
}

#[test]
fn a_store_of_a_newer_version_and_a_stranger_s_folder_are_left_alone() -> Done {
    let folder = tempfile::tempdir()?;
    let manifest = r#"{"format":99}"#;
    fs::write(folder.path().join("store.json"), manifest)?;
    let serve = |folder: &std::path::Path| run_on(folder, &["serve", "--listen", "127.0.0.1:0"]);
    check_line(&serve(folder.path())?, 1, &["format 99", "nothing was changed"]);
    assert_eq!(fs::read_dir(folder.path())?.count(), 1);
    let stranger = tempfile::tempdir()?;
    fs::write(stranger.path().join("letter.txt"), "dear")?;
    check_line(&serve(stranger.path())?, 1, &["is not empty and holds no Tripoise store"]);
    assert_eq!(fs::read_dir(stranger.path())?.count(), 1);
    for subcommand in ["export", "verify", "rebuild"] {
        let output = run_on(&stranger.path().join("nowhere"), &[subcommand])?;
        check_line(&output, 1, &["holds no Tripoise store"]);
    }
    assert_eq!(fs::read_dir(stranger.path())?.count(), 1);
    Ok(())
}

#[test]
fn a_healed_index_is_told_in_the_log() -> Done {
    let folder = tempfile::tempdir()?;
    let mut server = Server::start_on(folder.path())?;
    server.post(&json!(Device::new(1).events(20)))?;
    server.signal("TERM")?;
    fs::write(folder.path().join("index/db"), vec![7; 100_000])?;
    let server = Server::start_on(folder.path())?;
    assert_eq!(server.all_ids()?.len(), 20);
    assert!(server.log()?.contains("the index was built again from the journal"), "{}", server.log()?);
    Ok(())
}

#[test]
fn the_demo_fills_an_empty_store_only() -> Done {
    let folder = tempfile::tempdir()?;
    let demo = |folder: &std::path::Path| {
        let mut command = crate::harness::serve_command(folder);
        command.arg("--demo");
        Server::spawn(command)
    };
    let n_demo = demo(folder.path())?.all_ids()?.len();
    let lines = include_str!("../../demo-data/studio.jsonl").lines().count();
    assert_eq!(n_demo, lines);
    let other = tempfile::tempdir()?;
    let server = Server::start_on(other.path())?;
    server.post(&json!(Device::new(1).events(1)))?;
    drop(server);
    assert_eq!(demo(other.path())?.all_ids()?.len(), 1);
    Ok(())
}

#[test]
fn calc_refuses_in_one_line_with_exit_code_2() -> Done {
    check_line(&run(&["calc", "no-such-kind"])?, 2, &["no-such-kind", "flatness"]);
    let help = run(&["calc", "flatness", "--help"])?;
    assert!(help.status.success() && out(&help).contains("minimum_zone_mm"), "{}", out(&help));
    // The standard input of these tests is empty.
    check_line(&run(&["calc", "flatness"])?, 2, &[]);
    Ok(())
}

#[test]
fn help_names_every_subcommand() -> Done {
    let help = out(&run(&["--help"])?);
    for subcommand in ["serve", "export", "import", "rebuild", "verify", "calc"] {
        assert!(help.contains(subcommand), "{help}");
        let own = run(&[subcommand, "--help"])?;
        assert!(own.status.success() && !out(&own).is_empty(), "{subcommand}: {}", err(&own));
    }
    Ok(())
}
