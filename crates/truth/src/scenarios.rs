//! Ready families of scenarios for studies, demonstrations and tests. Each takes a seed that
//! draws what the family leaves open: voice, rate, amplitude, levels.
