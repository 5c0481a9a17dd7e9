//! From orders to a PDF: `cargo run --example orders_to_pdf` writes `labels.pdf`.

use std::error::Error;
use std::fs;

use slipwright::PrintJob;

fn main() -> Result<(), Box<dyn Error>> {
    let orders = fs::read_to_string("samples/evening.json")?;
    let shop = fs::read_to_string("samples/shop.yaml")?;
    let printed = PrintJob::new(orders).shop(shop).layout("label-4x6in").to_pdf()?;
    print!("{}", printed.report);
    fs::write("labels.pdf", printed.output)?;
    Ok(())
}
