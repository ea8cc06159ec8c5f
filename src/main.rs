//! The program `beforehand`: hands the command line to the library and leaves with its exit code.

fn main() -> std::process::ExitCode {
    beforehand::cli::run()
}
