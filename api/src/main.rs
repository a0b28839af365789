//! The `spent-silver` program.

fn main() -> std::process::ExitCode {
    spent_silver::command::run(std::env::args_os())
}
