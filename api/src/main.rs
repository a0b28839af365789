//! The `spent-silver` program.

#[global_allocator]
static ALLOCATOR: spent_silver::MiMalloc = spent_silver::MiMalloc;

fn main() -> std::process::ExitCode {
    spent_silver::command::run(std::env::args_os())
}
