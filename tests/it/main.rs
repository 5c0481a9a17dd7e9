//! All integration tests as one program: the heavy readers are linked once.

mod address;
mod address_whole;
mod batch_cases;
mod batch_properties;
mod cases;
mod codes_check_digits;
mod codes_code128;
mod codes_code128_minimal;
mod codes_gs1;
mod codes_qr;
mod codes_support;
mod command;
mod fonts_debian;
mod fonts_faces;
mod fonts_properties;
mod fonts_text;
mod imports;
mod layout_cases;
mod orders_cases;
mod orders_hostile;
mod orders_values;
mod samples;
mod schemas;
mod shipped;
mod shop_cases;
mod support;
