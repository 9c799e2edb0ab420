package curve

// Edition names the state of the table of published curves: it is raised whenever one of them is
// added or changed.
const Edition = "2026-11"
