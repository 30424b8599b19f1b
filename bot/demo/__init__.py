"""The demo."""


def run_demo(*, play: bool) -> int:
    """Play."""
    del play
    return 0


__all__ = ["run_demo"]
