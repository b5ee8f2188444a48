"""The figures: modules `bench_*.py`, each with `figures() -> Iterator[Figure]`. Not collected."""
