//! The commands that decide before buying, as a newcomer meets them; help, man page, completions, colours.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::{Value, json};

const ELLWAND: &str = env!("CARGO_BIN_EXE_ellwand");

fn ellwand(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(ELLWAND).current_dir(folder).args(arguments).output().expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn demo() -> String {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo/pinafore/project.json").display().to_string()
}

fn apron_in(folder: &Path) {
    let apron = json!({
        "ellwand": 1, "name": "Lamp-room apron", "units": "in",
        "cloths": { "main": { "width": 45, "nap": true, "price_per_yard": 12 } },
        "pieces": { "skirt": { "outline": "M 0 0 H 12 V 20 H 3 Z", "grain": { "from": [4, 2], "to": [4, 16] } } },
        "cuts": { "skirt": { "piece": "skirt", "cloth": "main", "count": 2, "mirrored": true } },
        "notions": { "ties": { "name": "cotton tape", "count": 2 } },
        "choices": { "panels": { "two": {}, "four": { "cuts": { "skirt": { "count": 4 } } } } },
        "chosen": { "panels": "two" }
    });
    fs::write(folder.join("apron.json"), apron.to_string()).expect("written");
}

#[test]
fn each_answers_in_words_and_in_json() {
    let folder = tempfile::tempdir().expect("a folder");
    apron_in(folder.path());
    for (arguments, words, key) in [
        (&["compare", "apron.json"][..], "panels: two, not four", "ellwand_comparison"),
        (&["widths", "apron.json", "--widths", "36 in, 112 cm at 9"], "the project's", "ellwand_widths"),
        (&["buy", "apron.json", "--spare", "2"], "cotton tape", "ellwand_shopping_list"),
    ] {
        let quick = [arguments, &["--effort", "quick"]].concat();
        let output = ellwand(folder.path(), &quick);
        let said = text(&output.stdout);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
        assert!(said.contains(words) && said.contains(" m") && said.contains(" yd"), "{words} in {said}");
        // Piped: no bar, no colours.
        assert!(!said.contains('\u{1b}') && output.stderr.is_empty());
        let json = ellwand(folder.path(), &[&quick[..], &["--json"]].concat());
        let value: Value = serde_json::from_slice(&json.stdout).expect("JSON");
        assert_eq!(value[key], 1, "{value}");
    }
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1, "nothing was written unasked");
}

#[test]
fn every_plan_compared_can_be_checked_again() {
    let folder = tempfile::tempdir().expect("a folder");
    apron_in(folder.path());
    let output = ellwand(folder.path(), &["compare", "apron.json", "--effort", "quick", "--out", "plans"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    for name in ["plans/two.json", "plans/four.json"] {
        let checked = ellwand(folder.path(), &["check", name, "--against", "apron.json"]);
        assert_eq!(checked.status.code(), Some(0), "{name}: {}", text(&checked.stdout));
    }
    let plan = ellwand(folder.path(), &["plan", "apron.json", "--effort", "quick", "--json"]);
    let written = fs::read_to_string(folder.path().join("plans/two.json")).expect("a plan");
    assert_eq!(text(&plan.stdout).trim_end(), written.trim_end(), "the chosen one is what `plan` has");
    let sheets = fs::read_to_string(folder.path().join("plans/sheets.html")).expect("sheets");
    assert!(sheets.contains("The choices compared") && sheets.contains("panels: two, not four: "), "{sheets}");
    assert!(fs::read(folder.path().join("plans/sheets.pdf")).expect("sheets").starts_with(b"%PDF"));
}

#[test]
fn wrong_input_is_refused_with_what_to_do() {
    let folder = tempfile::tempdir().expect("a folder");
    apron_in(folder.path());
    for (arguments, words) in [
        (&["compare", "missing.json"][..], "cannot be read"),
        (&["compare", "apron.json", "--by", "panel"], "Write \"panels\""),
        (&["compare", "apron.json", "--choose", "panels=two"], "nothing to compare"),
        (&["compare", "apron.json", "--choose", "panels=six"], "four"),
        (&["compare", "apron.json", "--out", "apron.json"], "not a folder"),
        (&["widths", "apron.json", "--cloth", "lining"], "Nothing is cut from"),
        (&["widths", "apron.json", "--widths", "wide"], "not a length"),
        (&["widths", "apron.json", "--widths", "0 cm"], "no width of cloth"),
        (&["widths", "apron.json", "--widths", "45 in at dear"], "no price"),
        (&["buy", "apron.json", "--spare", "lining=2"], "no cloth named"),
        (&["buy", "apron.json", "--spare", "main=two"], "not a length"),
        (&["completions", "ksh"], "possible values"),
    ] {
        let output = ellwand(folder.path(), arguments);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {words:?} in {said}");
        assert_eq!(text(&output.stdout), "", "{arguments:?}");
    }
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1);
}

#[test]
fn a_cloth_too_narrow_for_any_combination_is_a_problem_of_the_file() {
    let folder = tempfile::tempdir().expect("a folder");
    apron_in(folder.path());
    let narrow =
        fs::read_to_string(folder.path().join("apron.json")).expect("read").replace("\"width\":45", "\"width\":5");
    fs::write(folder.path().join("narrow.json"), narrow).expect("written");
    let output = ellwand(folder.path(), &["compare", "narrow.json"]);
    assert_eq!(output.status.code(), Some(2));
    let said = text(&output.stderr);
    assert!(
        said.contains("narrow.json:1:") && said.contains("\"skirt\": it is 12 in") || said.contains("too wide"),
        "{said}"
    );
}

/// Names of all commands, from the help itself.
fn commands() -> Vec<String> {
    let help = text(&ellwand(Path::new("."), &["--help"]).stdout);
    let list = help.split("Commands:\n").nth(1).and_then(|rest| rest.split("\n\n").next()).expect("the commands");
    let names = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    names.filter_map(|line| line.split_whitespace().next()).filter(|name| *name != "help").map(str::to_owned).collect()
}

#[test]
fn every_command_has_an_example_a_man_page_and_completions() {
    let commands = commands();
    assert!(commands.len() >= 10, "{commands:?}");
    let folder = tempfile::tempdir().expect("a folder");
    assert_eq!(ellwand(folder.path(), &["man", "--out", "man"]).status.code(), Some(0));
    let bash = text(&ellwand(folder.path(), &["completions", "bash"]).stdout);
    let main = text(&ellwand(folder.path(), &["man"]).stdout);
    for command in &commands {
        let help = text(&ellwand(folder.path(), &[command, "--help"]).stdout);
        assert!(help.contains(&format!("Example: ellwand {command}")), "{command}: {help}");
        let page = fs::read_to_string(folder.path().join(format!("man/ellwand-{command}.1"))).expect("a page");
        for wanted in [&format!(".TH ellwand-{command} 1"), ".SH SYNOPSIS", ".SH \"EXIT STATUS\""] {
            assert!(page.contains(wanted), "{command}: {wanted} in {page}");
        }
        assert!(main.contains(&format!("ellwand\\-{command}(1)")), "{command}");
        assert!(bash.contains(&format!("ellwand,{command})")), "{command}");
    }
    for status in ["0", "1", "2", "130"] {
        assert!(main.contains(&format!(".TP\n{status}\n")), "{status}");
    }
}

/// Bash itself takes the completions.
#[test]
fn bash_completes_commands_and_options() {
    let folder = tempfile::tempdir().expect("a folder");
    let script = ellwand(folder.path(), &["completions", "bash"]).stdout;
    fs::write(folder.path().join("ellwand.bash"), script).expect("written");
    let ask = "source ./ellwand.bash; COMP_WORDS=(ellwand comp); COMP_CWORD=1; _ellwand ellwand comp ellwand; echo ${COMPREPLY[*]}; \
               COMP_WORDS=(ellwand buy --sp); COMP_CWORD=2; _ellwand ellwand --sp buy; echo ${COMPREPLY[*]}";
    let output = Command::new("bash").arg("-c").arg(ask).current_dir(folder.path()).output().expect("bash runs");
    assert_eq!(text(&output.stdout), "compare completions\n--spare\n", "{}", text(&output.stderr));
}

/// On a terminal headings stand out and a bar shows how far it is; with NO_COLOR nothing is emphasised (no-color.org).
#[cfg(target_os = "linux")]
#[test]
fn colours_only_on_a_terminal_and_not_with_no_color() {
    let folder = tempfile::tempdir().expect("a folder");
    apron_in(folder.path());
    // `script` gives the program a terminal of its own.
    let on_terminal = |command: &str, no_color: bool| {
        let mut script = Command::new("script");
        script.args(["-qec", &format!("'{ELLWAND}' {command}"), "/dev/null"]).current_dir(folder.path());
        script.env("TERM", "xterm-256color").env_remove("CLICOLOR").env_remove("CLICOLOR_FORCE").env_remove("NO_COLOR");
        if no_color {
            script.env("NO_COLOR", "1");
        }
        text(&script.output().expect("script runs").stdout)
    };
    // What sets a colour or weight, not what moves the cursor for the bar.
    let emphasised = |said: &str| said.contains("\u{1b}[1m") || said.contains("\u{1b}[31m");
    for command in [
        "plan apron.json --effort quick --out drawings",
        "buy apron.json --effort quick",
        "plan missing.json",
        "buy apron.json --spare x",
    ] {
        assert!(emphasised(&on_terminal(command, false)), "{command}");
        assert!(!emphasised(&on_terminal(command, true)), "{command}");
    }
}

#[test]
fn the_demos_band_is_answered_in_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = ellwand(folder.path(), &["compare", &demo(), "--by", "band", "--effort", "quick"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    for wanted in ["band: double, not single: ", "band: double, not double with lining inside: ", "needlecord, mustard"]
    {
        assert!(said.contains(wanted), "{wanted} in {said}");
    }
}
