#![no_main]
slipwright_fuzz::fuzz_with!(ipp);
