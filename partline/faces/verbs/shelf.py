"""`partline shelf`: the cups, pipes and boxes you have, measured once for every job."""

from __future__ import annotations

import click


@click.command()
@click.argument("name", required=False)
@click.option("--kind", type=click.Choice(["cup", "pipe", "box"]), default="cup",
              show_default=True, help="A pail is a cup.")  # fmt: skip
@click.option("--rim", help="Inner width at the rim (a box: side to side).")
@click.option("--floor", help="Inner width at the floor, where it tapers.")
@click.option("--depth", help="A box: front to back at the rim.")
@click.option("--height", help="From the inner floor to the rim.")
@click.option("--floor-rise", help="How far the inner floor lies above the table.")
@click.option("--ring-width", help="A gutter round a raised floor: how wide.")
@click.option("--ring-depth", help="And how deep.")
@click.option("--remove", is_flag=True, help="Take it off the shelf.")
def shelf(name: str | None, kind: str, remove: bool, **sizes: str | None) -> None:
    """Show the shelf, or put a container on it, like:
    partline shelf "my cup" --rim 77mm --floor 55mm --height 83mm
    """
    from partline.errors import WorkshopError
    from partline.units import format_length
    from partline.workshop.shelf import read_shelf, save_shelf, shelf_item, shelf_path

    path = shelf_path()
    items = read_shelf(path)
    given = {key: size for key, size in sizes.items() if size is not None}
    if name is None and (given or remove):
        raise WorkshopError("Give the container a name first; nothing was saved.")
    if name is not None:
        if remove and not any(item.name == name for item in items):
            raise WorkshopError(f'There is no "{name}" on the shelf.')
        rest = [item for item in items if item.name != name]
        new = [] if remove else [shelf_item({"name": name, "kind": kind, **given}, "The shelf")]
        items = (*rest, *new)
        save_shelf(path, items)
    for item in items:
        floor = item.rim_mm if item.floor_mm is None else item.floor_mm
        deep = "" if item.depth_mm is None else f", {format_length(item.depth_mm)} deep"
        click.echo(f"{item.name}: {item.kind}, rim {format_length(item.rim_mm)}{deep}, floor "
                   f"{format_length(floor)}, {format_length(item.height_mm)} high")  # fmt: skip
    if not items:
        click.echo("The shelf is empty: stock sizes are used. Measure a cup inside and put it on:")
        click.echo('  partline shelf "my cup" --rim 77mm --floor 55mm --height 83mm')
    click.echo(f"Kept in {path}.")
