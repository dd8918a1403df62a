"""``python -m glazecalc`` is the same as the ``glazecalc`` command."""

from glazecalc.cli.main import run

if __name__ == "__main__":
    run()
