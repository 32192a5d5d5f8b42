"""Make the order of a plan: first without the content of its files, then with their hashes."""

from collections.abc import Mapping
from dataclasses import fields, replace
from pathlib import Path

from watcher.inbox.scan import SeenFile
from watcher.orders.model import ArtSource, AskedOrder, KeptFile, Order, Piece, Planned


def draft_order(plan: Planned, number: int, names: Mapping[Path, str]) -> Order:
    """Make the order of a plan, before its files have been read.

    Args:
        plan: what lies in the inbox under one name.
        number: of the order.
        names: what each of its files is called where the order's files lie.
    """
    asked = {field.name: getattr(plan, field.name) for field in fields(AskedOrder)}
    return Order(
        **asked,
        number=number,
        art=tuple(_source(plan, piece, names[piece.found.file.path], "") for piece in plan.pieces),
        files=tuple(_kept(plan, file, names[file.path]) for file in plan.files),
    )


def with_content(draft: Order, plan: Planned, digests: Mapping[str, str]) -> Order:
    """Fill in the hashes of an order's files, by the names that they have in it."""
    return replace(
        draft,
        art=tuple(
            _source(plan, piece, source.file, digests[source.file])
            for piece, source in zip(plan.pieces, draft.art, strict=True)
        ),
        files=tuple(replace(file, sha256=digests[file.name]) for file in draft.files),
    )


def _kept(plan: Planned, file: SeenFile, name: str) -> KeptFile:
    of_file = [found for found in (*(piece.found for piece in plan.pieces), *plan.beside) if found.file == file]
    members = [found.member.stored_as for found in of_file if found.member]
    return KeptFile(
        name=name, origin=str(file.path), size=file.identity.size, sha256="", members=tuple(dict.fromkeys(members))
    )


def _source(plan: Planned, piece: Piece, name: str, file_sha256: str) -> ArtSource:
    member = piece.found.member
    earlier = piece.found.earlier
    mixed = earlier if piece in plan.earlier_pieces else None
    return ArtSource(
        side=piece.side,
        file=name,
        sha256=member.sha256 if member else file_sha256,
        member=member.stored_as if member else None,
        member_name=member.name if member else None,
        page=piece.page,
        file_sha256=file_sha256 if member else None,
        design=piece.design,
        earlier=earlier.before if earlier and earlier.before else mixed,
    )
