"""`partline mix`: what the scale shows; needs no scan and no job."""

from __future__ import annotations

import click


@click.command()
@click.argument("total")
@click.argument("ratio")
@click.option("--parts", help='Names in the ratio\'s order, like "isocyanate part, polyol part"; '
              "else rubber, hardener.")  # fmt: skip
@click.option("--by", type=click.Choice(["weight", "volume"]), default="weight", show_default=True,
              help="How the label's ratio counts.")  # fmt: skip
@click.option("--density", "densities", multiple=True, help='Of a part, for a ratio by volume, '
              'like "hardener=0.97 g/cm3".')  # fmt: skip
@click.option("--add", "extras", multiple=True, help='Pigment or filler as a share of the polyol '
              'part, like "pigment=2 %".')  # fmt: skip
@click.option("--add-to", help="The part they go into, if none is called polyol part.")
@click.option("--scale", default="0.1 g", show_default=True, help="Smallest step of your scale.")
def mix(
    total: str, ratio: str, parts: str | None, by: str, densities: tuple[str, ...],
    extras: tuple[str, ...], add_to: str | None, scale: str,
) -> None:  # fmt: skip
    """Say what the scale reads for a mix, like: partline mix 297g 10:1"""
    from partline import units
    from partline.workshop.batch import least_for_scale_g
    from partline.workshop.mixing import mix as mixed
    from partline.workshop.mixing import parse_ratio

    names = ("rubber", "hardener") if parts is None else tuple(p.strip() for p in parts.split(","))
    label = parse_ratio(ratio, names)
    dense = {name: units.density(text) for name, text in map(_pair, densities)}
    made = mixed(
        units.mass_g(total), label, by=by, densities=dense or None,
        extras={name: units.percent(text) for name, text in map(_pair, extras)},
        extras_in=add_to, resolution_g=units.mass_g(scale),
    )  # fmt: skip
    for line in made.words:
        click.echo(line)
    least = least_for_scale_g(label, units.mass_g(scale), by=by, densities=dense or None)
    if made.total_g < least:
        click.echo(f"On this scale a batch from {least:.0f} g on is surely near enough.")


def _pair(text: str) -> tuple[str, str]:
    from partline.errors import WorkshopError

    name, equals, value = text.partition("=")
    if not (equals and name.strip() and value.strip()):
        raise WorkshopError(f'"{text}" should be a name and a figure, like "pigment=2 %".')
    return name.strip(), value.strip()
