//! Where the project and its built files are, and how this run was asked for.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

use crate::beside::Beside;
use crate::command::{cargo, look_for_node_in, program, run, run_captured};
use crate::failure::Failure;
use crate::options::TestOptions;

/// The places every step works from.
#[derive(Debug)]
pub struct Workspace {
    /// Folder of the workspace's `Cargo.toml`.
    pub root: PathBuf,
    /// Where cargo puts what it builds.
    pub target: PathBuf,
    /// How this run was asked for.
    pub options: TestOptions,
    /// The release build, where it was begun beside another step.
    pub release: Beside,
    /// The oracles, where they were begun beside another step.
    pub oracles: Beside,
}

impl Workspace {
    /// Asks cargo where the workspace around the current folder is.
    pub fn find(options: TestOptions) -> Result<Self, Failure> {
        let mut command = cargo(Path::new("."));
        command.args([
            "metadata",
            "--no-deps",
            "--offline",
            "--format-version",
            "1",
        ]);
        let metadata: Value = serde_json::from_str(&run_captured(&mut command)?)
            .map_err(|error| Failure::missing(format!("cargo metadata is not JSON: {error}")))?;
        let place = |key: &str| {
            metadata[key]
                .as_str()
                .map(PathBuf::from)
                .ok_or_else(|| Failure::missing(format!("cargo metadata does not say the {key}")))
        };
        let root = place("workspace_root")?;
        look_for_node_in(node_venv(&root).join("bin"));
        Ok(Self {
            root,
            target: place("target_directory")?,
            options,
            release: Beside::default(),
            oracles: Beside::default(),
        })
    }

    /// The command `calotte`, as built by [`Workspace::build_release`].
    pub fn calotte(&self) -> PathBuf {
        self.target
            .join("release")
            .join(format!("calotte{}", std::env::consts::EXE_SUFFIX))
    }

    /// Builds the command `calotte` as it is handed out.
    pub fn build_release(&self) -> Result<PathBuf, Failure> {
        // Its outcome is that of this build.
        let _ = self.release.wait();
        run(&mut self.release_command())?;
        Ok(self.calotte())
    }

    /// Begins that build beside what follows.
    pub fn begin_release(&self) {
        // Silent: the build that follows says what was wrong with this one.
        let mut command = self.release_command();
        self.release
            .begin(command.stdout(Stdio::null()).stderr(Stdio::null()));
    }

    fn release_command(&self) -> Command {
        let mut command = cargo(&self.root);
        command.args(["build", "--release", "--package", "calotte-cli"]);
        command
    }

    /// The place of a report that a test program is to write, without one of a former run.
    pub fn report(&self, name: &str) -> Result<PathBuf, Failure> {
        let report = self.report_of(name);
        let folder = report.parent().unwrap_or(&self.target);
        let told =
            |error: std::io::Error| Failure::missing(format!("{}: {error}", folder.display()));
        std::fs::create_dir_all(folder).map_err(told)?;
        match std::fs::remove_file(&report) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(told(error)),
            _ => Ok(report),
        }
    }

    /// The place of a report that was written.
    pub fn report_of(&self, name: &str) -> PathBuf {
        self.target.join("xtask").join("reports").join(name)
    }

    /// Folder of the Python environment that the oracles run in. It stays inside the
    /// project whatever the target folder of cargo, so that one copy serves all.
    pub fn oracles_venv(&self) -> PathBuf {
        self.root.join("target").join("oracles-venv")
    }

    /// Python of the oracles' environment.
    pub fn oracles_python(&self) -> PathBuf {
        self.oracles_venv().join("bin").join("python")
    }

    /// The text of a file of the project, named from the root.
    pub fn read(&self, file: &str) -> Result<String, Failure> {
        std::fs::read_to_string(self.root.join(file))
            .map_err(|error| Failure::check(format!("{file} cannot be read: {error}")))
    }

    /// The files of the project, named from the root: those under version control and
    /// those that would be with the next `git add`.
    pub fn files(&self) -> Result<Vec<String>, Failure> {
        let mut command = program("git", &self.root);
        command.args([
            "ls-files",
            "-z",
            "--cached",
            "--others",
            "--exclude-standard",
        ]);
        let listing = run_captured(&mut command)?;
        let mut files: Vec<String> = listing
            .split('\0')
            .filter(|name| !name.is_empty())
            .map(str::to_owned)
            .collect();
        // A file removed from the folder is still listed until that is committed.
        files.retain(|name| self.root.join(name).is_file());
        files.sort();
        files.dedup();
        Ok(files)
    }
}

/// Folder of the Python environment that holds node where the machine's own is too old.
pub fn node_venv(root: &Path) -> PathBuf {
    root.join("target").join("node-venv")
}
