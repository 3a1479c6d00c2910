"""JSON for other programs: results, bench plan, period register."""
