//! The program `beforehand`: hands the command line to the library and leaves with its exit code.

/// Laying out pages asks for memory millions of times; a library that uses this crate keeps its own allocator.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    beforehand::cli::run()
}
