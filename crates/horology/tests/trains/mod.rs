mod contradictions;
mod counted;
mod cycles;
mod hands;
mod made;
mod missing;
mod power;
mod table;
