//! Makes the page in `$OUT_DIR/dist`: from a ready folder that `ENDSHAKE_PAGE` names, or with npm
//! from `web/`, or, in a debug build without Node, as a placeholder.

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fmt};

type Outcome<T> = Result<T, Box<dyn Error>>;

// What the page is made of. Never `node_modules`, and nothing that the build itself writes.
const SOURCES: [&str; 11] = [
    "src",
    "guide-pages.ts",
    "../docs/guide/src",
    "public",
    "index.html",
    "package.json",
    "package-lock.json",
    ".npmrc",
    "vite.config.ts",
    "svelte.config.js",
    "tsconfig.json",
];

/// The oldest Node that Vite runs on (its package.json, "engines").
const LEAST_NODE: (u32, u32) = (20, 19);

const INSTALL: &str =
    "install Node.js 20.19 or later with npm (https://nodejs.org), then build again";

/// A sentence for whoever builds.
#[derive(Debug)]
struct Sentence(String);

impl fmt::Display for Sentence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Error for Sentence {}

fn fail<T>(words: impl Into<String>) -> Outcome<T> {
    Err(Box::new(Sentence(words.into())))
}

fn main() {
    if let Err(cause) = make() {
        println!("cargo::error={cause}");
        std::process::exit(1);
    }
}

fn make() -> Outcome<()> {
    let web = PathBuf::from(env::var("CARGO_MANIFEST_DIR")?).join("../../web");
    let dist = PathBuf::from(env::var("OUT_DIR")?).join("dist");
    let release = env::var("PROFILE")? == "release";

    println!("cargo::rerun-if-env-changed=ENDSHAKE_PAGE");
    for source in SOURCES {
        println!("cargo::rerun-if-changed={}", web.join(source).display());
    }

    if dist.exists() {
        fs::remove_dir_all(&dist)?;
    }
    if let Some(ready) = env::var_os("ENDSHAKE_PAGE") {
        return copy(Path::new(&ready), &dist);
    }
    match node_version() {
        None if release => fail(format!("the page cannot be built: {INSTALL}")),
        None => placeholder(&dist),
        Some(version) if version < LEAST_NODE => fail(format!(
            "the page cannot be built with Node.js {}.{}: {INSTALL}",
            version.0, version.1
        )),
        Some(_) => {
            install(&web)?;
            npm(&web, &["run", "--silent", "build", "--", "--logLevel", "error", "--outDir"], &dist)
        }
    }
}

/// Major and minor version; nothing where Node or npm is missing.
fn node_version() -> Option<(u32, u32)> {
    let says = |program: &str| {
        let output = Command::new(program).arg("--version").output().ok()?;
        output.status.success().then(|| String::from_utf8_lossy(&output.stdout).into_owned())
    };
    says("npm")?;
    let text = says("node")?;
    let mut numbers = text.trim().trim_start_matches('v').split('.').map(str::parse);
    Some((numbers.next()?.ok()?, numbers.next()?.ok()?))
}

/// `npm ci`, where the lock file is newer than what it last installed.
fn install(web: &Path) -> Outcome<()> {
    let changed = |file: &str| fs::metadata(web.join(file)).and_then(|m| m.modified()).ok();
    let installed = changed("node_modules/.package-lock.json");
    if installed.is_some() && installed >= changed("package-lock.json") {
        return Ok(());
    }
    npm(web, &["ci", "--silent", "--no-audit", "--no-fund"], Path::new(""))
}

fn npm(web: &Path, arguments: &[&str], last: &Path) -> Outcome<()> {
    let mut command = Command::new("npm");
    command.current_dir(web).args(arguments);
    if !last.as_os_str().is_empty() {
        command.arg(last).arg("--emptyOutDir");
    }
    let output = command.output()?;
    if output.status.success() {
        return Ok(());
    }
    for text in [&output.stdout, &output.stderr] {
        eprintln!("{}", String::from_utf8_lossy(text));
    }
    fail(format!("`npm {}` failed in web/ while the page was built; see above", arguments[0]))
}

fn copy(from: &Path, to: &Path) -> Outcome<()> {
    if !from.join("index.html").is_file() {
        return fail(format!("ENDSHAKE_PAGE names {}, which holds no index.html", from.display()));
    }
    copy_folder(from, to)
}

fn copy_folder(from: &Path, to: &Path) -> Outcome<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy_folder(&entry.path(), &target)?;
        } else {
            fs::copy(entry.path(), target)?;
        }
    }
    Ok(())
}

fn placeholder(dist: &Path) -> Outcome<()> {
    println!("cargo::warning=Node.js or npm is missing, so the program has no page: {INSTALL}");
    fs::create_dir_all(dist)?;
    fs::write(dist.join("placeholder"), "")?;
    fs::write(
        dist.join("index.html"),
        "<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>Endshake</title>\n<h1>This program was built without its page</h1>\n\
         <p>To have it, install Node.js 20.19 or later with npm, then build again.</p>\n</html>\n",
    )?;
    Ok(())
}
