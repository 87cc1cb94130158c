"""Times, the beat, marks, what cuts taught, and practice: kept, worked out, and told when due."""
