//! `plainsaid schema`: the shape of the report document, for programs that read it.

use plainsaid::rendering;

use super::Problem;
use super::output;

pub fn run() -> Result<(), Problem> {
    output::to_standard(&rendering::schema())
}
