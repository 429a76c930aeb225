"""The chain of moves that a new work sets off: who goes where, in which order, on which trip."""
