//! `schema`, `completions` and the manual page: what is committed is what the program says.

use crate::support::{Plan, desk, put, root, run};

/// Compares a committed file, or writes it anew when `BEFOREHAND_LOCK=write` is set.
fn committed(path: &str, now: &str) {
    let path = root().join(path);
    if std::env::var("BEFOREHAND_LOCK").as_deref() == Ok("write") {
        std::fs::create_dir_all(path.parent().expect("inside the repository"))
            .and_then(|()| std::fs::write(&path, now))
            .expect("a folder of this repository");
        return;
    }
    let then = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        then == now,
        "{} is not what the program says: run BEFOREHAND_LOCK=write cargo test --test program schema",
        path.display()
    );
}

#[test]
fn the_schemas_of_the_release_are_those_that_are_committed() {
    for file in ["plan", "clinic"] {
        let ran = run(desk().path(), &["schema", file]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""));
        committed(&format!("src/plan/{file}.schema.json"), &ran.out);
    }
}

#[test]
fn a_schema_describes_every_entry_in_words() {
    let ran = run(desk().path(), &["schema", "plan"]);
    let schema: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    fn described(schema: &serde_json::Value, at: &str, count: &mut usize) {
        for (key, entry) in schema["properties"].as_object().into_iter().flatten() {
            let about = entry["description"].as_str().unwrap_or_default();
            assert!(!about.is_empty(), "{at}.{key} is not described");
            *count += 1;
            described(entry, &format!("{at}.{key}"), count);
            described(&entry["items"], &format!("{at}.{key}[]"), count);
        }
    }
    let mut count = 0;
    described(&schema, "", &mut count);
    assert!(count > 60, "only {count} entries");
    let areas = &schema["properties"]["area"]["items"]["properties"]["id"];
    assert!(areas["enum"].as_array().is_some_and(|ids| ids.len() == 13));
    let about = areas["description"].as_str().unwrap_or_default();
    assert!(about.contains("masseter: Jaw muscle"), "{about}");
}

#[test]
fn with_a_clinic_its_people_and_stock_are_listed() {
    let desk = desk();
    let clinic = crate::support::clinic()
        + "[[stock]]\nproduct = \"incobotulinumtoxinA\"\nvial_units = 100\n";
    put(desk.path(), "clinic.toml", clinic);
    let ran = run(desk.path(), &["schema", "plan", "--clinic", "clinic.toml"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let schema: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let listed = |table: &str, key: &str| {
        let table = &schema["properties"][table];
        let table = if table["items"].is_object() {
            &table["items"]
        } else {
            table
        };
        table["properties"][key]["enum"].clone()
    };
    assert_eq!(
        listed("visit", "practitioner"),
        serde_json::json!(["a-one"])
    );
    assert_eq!(
        listed("product", "name"),
        serde_json::json!(["incobotulinumtoxinA"])
    );
    let earlier = listed("history", "product");
    let earlier = earlier.as_array().expect("a list");
    for name in ["onabotulinumtoxinA", "rimabotulinumtoxinB"] {
        assert!(earlier.iter().any(|known| known == name), "{name}");
    }
}

#[test]
fn a_clinic_with_a_mistake_gives_no_schema() {
    let desk = desk();
    put(desk.path(), "clinic.toml", "[clinic]\nname = 1\n");
    let ran = run(desk.path(), &["schema", "plan", "--clinic", "clinic.toml"]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
}

/// The hint to an editor changes nothing: as a comment in TOML, as an entry in JSON.
#[test]
fn a_file_that_names_its_schema_is_read_as_without() {
    let desk = desk();
    let plan = Plan::default().toml();
    put(desk.path(), "plain.toml", &plan);
    put(
        desk.path(),
        "hinted.toml",
        format!("#:schema ./plan.schema.json\n{plan}"),
    );
    let table: toml::Table = plan.parse().expect("TOML");
    let mut json = serde_json::json!({ "$schema": "./plan.schema.json" });
    for (key, value) in table {
        json[key] = plain(value);
    }
    put(desk.path(), "hinted.json", json.to_string());
    let said = |name: &str| {
        let ran = run(desk.path(), &["check", name]);
        assert_eq!(ran.code, 0, "{name}: {}", ran.err);
        ran.out.replace(name, "plan")
    };
    assert_eq!(said("plain.toml"), said("hinted.toml"));
    assert_eq!(said("plain.toml"), said("hinted.json"));

    json["$schema"] = serde_json::json!(7);
    put(desk.path(), "number.json", json.to_string());
    let ran = run(desk.path(), &["check", "number.json"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("P206"), "{}", ran.err);
    put(
        desk.path(),
        "key.toml",
        format!("\"$schema\" = \"x\"\n{plan}"),
    );
    let ran = run(desk.path(), &["check", "key.toml"]);
    assert!(ran.code == 1 && ran.err.contains("P203"), "{}", ran.err);
}

/// TOML as JSON: dates and times become texts.
fn plain(value: toml::Value) -> serde_json::Value {
    match value {
        toml::Value::Datetime(moment) => moment.to_string().into(),
        toml::Value::Array(items) => items.into_iter().map(plain).collect(),
        toml::Value::Table(table) => {
            let entries = table.into_iter().map(|(key, value)| (key, plain(value)));
            serde_json::Value::Object(entries.collect())
        }
        other => serde_json::to_value(other).expect("a plain value"),
    }
}

#[test]
fn every_shell_is_completed_with_every_command() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let ran = run(desk().path(), &["completions", shell]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{shell}");
        for word in ["make", "schema", "large-print", "wording"] {
            assert!(ran.out.contains(word), "{shell}: {word}");
        }
    }
    let ran = run(desk().path(), &["completions", "telepathy"]);
    assert_eq!(ran.code, 2);
}

/// The script is taken by the shell itself, and offers the commands.
#[test]
fn bash_completes_a_command() {
    let desk = desk();
    let ran = run(desk.path(), &["completions", "bash"]);
    put(desk.path(), "complete.bash", &ran.out);
    let asked = "source ./complete.bash; COMP_WORDS=(beforehand comp); COMP_CWORD=1; \
                 _beforehand beforehand comp beforehand; echo \"${COMPREPLY[@]}\"";
    let output = std::process::Command::new("bash")
        .args(["--norc", "-c", asked])
        .current_dir(desk.path())
        .output()
        .expect("bash runs");
    let said = String::from_utf8_lossy(&output.stdout);
    assert_eq!(
        said.trim(),
        "completions",
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[test]
fn the_manual_page_is_the_one_that_is_committed() {
    committed("src/cli/beforehand.1", &manual());
}

/// One page: the program, then each command with its options, in the order of the help.
fn manual() -> String {
    let mut program = beforehand::cli::command().term_width(0);
    program.build();
    let mut page = Vec::new();
    let whole = clap_mangen::Man::new(program.clone())
        .date("")
        .source("beforehand");
    let write = |render: &dyn Fn(&mut Vec<u8>) -> std::io::Result<()>| {
        let mut part = Vec::new();
        render(&mut part).expect("memory can be written");
        String::from_utf8(part).expect("UTF-8")
    };
    page.push(write(&|out| whole.render_title(out)));
    page.push(write(&|out| whole.render_name_section(out)));
    page.push(write(&|out| whole.render_synopsis_section(out)));
    page.push(write(&|out| whole.render_description_section(out)));
    fn commands(command: &clap::Command, path: &str, found: &mut Vec<(String, clap::Command)>) {
        for inner in command
            .get_subcommands()
            .filter(|inner| inner.get_name() != "help" && !inner.is_hide_set())
        {
            let path = format!("{path} {}", inner.get_name());
            found.push((path.clone(), inner.clone()));
            commands(inner, &path, found);
        }
    }
    let mut all = Vec::new();
    commands(&program, "", &mut all);
    for (path, command) in all {
        let of_it = clap_mangen::Man::new(command);
        let parts = [
            write(&|out| of_it.render_synopsis_section(out)),
            write(&|out| of_it.render_description_section(out)),
            write(&|out| of_it.render_options_section(out)),
            write(&|out| of_it.render_extra_section(out)),
        ];
        page.push(format!(".SH {}\n", path.trim().to_uppercase()));
        // the parts of one command are sections of its section
        page.push(parts.concat().replace(".SH ", ".SS "));
    }
    page.push(write(&|out| whole.render_extra_section(out)));
    page.push(write(&|out| whole.render_version_section(out)));
    // every part opens with how an apostrophe is written; once is enough
    let (opening, whole) = (page[0].lines().take(2).collect::<Vec<_>>(), page.concat());
    let again = whole.lines().filter(|line| !opening.contains(line));
    let lines: Vec<&str> = opening.iter().copied().chain(again).collect();
    // what the help shows below its options
    (lines.join("\n") + "\n").replace(" EXTRA\n", " NOTES\n")
}

/// A reader of manual pages, where there is one, finds nothing to complain about.
#[test]
fn the_manual_page_can_be_read() {
    if !crate::support::has_tool("groff") {
        return;
    }
    let output = std::process::Command::new("groff")
        .args(["-man", "-Tascii", "-ww", "-z"])
        .arg(root().join("src/cli/beforehand.1"))
        .output()
        .expect("groff runs");
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && said.is_empty(), "{said}");
}
