"""Results for people and for programs: tables, figures, JSON, and the caution that goes with them."""
