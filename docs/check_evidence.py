#!/usr/bin/env python3
"""Checks an archive of evidence made by Lampkeeper. Needs Python 3.8 and nothing else.

    python3 check_evidence.py evidence.zip [NUMBER:HASH or mail.eml ...]

The heads, or the mails with a head in them, that somebody kept are what shows that the journal was not written anew. Ends with 0 when
everything fits, and else with 1 and the first thing that does not.
"""
import csv
import datetime
import email
import hashlib
import io
import json
import struct
import sys
import zipfile

EPOCH = datetime.datetime(1970, 1, 1, tzinfo=datetime.timezone.utc)


def wrong(text):
    sys.exit("not as it was made: " + text)


def text(value):
    return struct.pack(">I", len(value.encode())) + value.encode()


def ident(value):
    return bytes(9) if value is None else struct.pack(">Bq", 1, value)


def digest(line):
    """What stands for an entry in the chain; docs/journal.md has the layout."""
    if "body" not in line:
        return bytes.fromhex(line["digest"])
    says = hashlib.sha256(bytes.fromhex(line["salt"]) + struct.pack(">q", line["micros"]) + text(line["kind"]) + ident(line.get("site"))
                          + ident(line.get("cabinet")) + ident(line.get("alarm")) + text(line["body"])).digest()
    if says.hex() != line["digest"]:
        wrong("entry %d was changed" % line["number"])
    return says


def follow(head, line):
    """The head after this entry, if it is the next one and fits."""
    number, before = head
    if line["number"] != number + 1:
        wrong("entry %d is missing" % (number + 1))
    seal = hashlib.sha256(b"LKJ2" + bytes.fromhex(before) + struct.pack(">Q", number + 1) + digest(line)).hexdigest()
    if seal != line["hash"]:
        wrong("entry %d was changed, or one before it" % line["number"])
    return number + 1, seal


def instant(written):
    """Microseconds since 1970; the standard library reads neither Z nor other than three or six decimals everywhere."""
    seconds, _, fraction = written.rstrip("Z").partition(".")
    since = datetime.datetime.strptime(seconds, "%Y-%m-%dT%H:%M:%S" if seconds.count(":") == 2 else "%Y-%m-%dT%H:%M")
    return int((since.replace(tzinfo=datetime.timezone.utc) - EPOCH).total_seconds()) * 1_000_000 + int((fraction + "000000")[:6])


def kept_heads(arguments):
    heads = {}
    for argument in arguments:
        if argument.endswith(".eml"):
            with open(argument, "rb") as file:
                number, seal = email.message_from_binary_file(file)["X-Lampkeeper-Journal"].split()
        else:
            number, seal = argument.split(":")
        heads[int(number)] = seal
    return heads


def files_of(archive):
    names = archive.namelist()
    if len(set(names)) != len(names):
        wrong("a file is in it twice")
    contents_bytes = archive.read("contents.json")
    contents = json.loads(contents_bytes)
    if contents["format"] != "lampkeeper-evidence-1":
        wrong("this program does not know the format " + contents["format"])
    listed = {file["name"]: file for file in contents["files"]}
    for name in sorted(set(names) ^ (set(listed) | {"contents.json", "made.json"})):
        wrong(name + (" is missing" if name not in names else " does not belong to it"))
    for name, file in listed.items():
        if hashlib.sha256(archive.read(name)).hexdigest() != file["sha256"]:
            wrong(name + " was changed")
    return contents, contents_bytes


def check_journal(archive, contents, kept):
    head = contents["journal"]["from"]["number"], contents["journal"]["from"]["hash"]
    seen, shown = dict([head]), []
    for row in archive.read("journal.jsonl").decode().splitlines():
        line = json.loads(row)
        head = follow(head, line)
        seen[head[0]] = head[1]
        if "body" in line:
            if instant(line["at"]) != line["micros"]:
                wrong("entry %d has two times" % line["number"])
            shown.append(line)
    until = contents["journal"]["until"]
    if head != (until["number"], until["hash"]):
        wrong("the journal ends at entry %d instead of %d" % (head[0], until["number"]))
    for number, seal in kept.items():
        if number in seen and seen[number] != seal:
            wrong("a head that was kept says otherwise of entry %d: the journal was written anew" % number)
    return seen, shown


def check_made(archive, contents_bytes, kept):
    made = json.loads(archive.read("made.json"))
    head = follow((made["previous"]["number"], made["previous"]["hash"]), made["entry"])
    if json.loads(made["entry"]["body"])["contents"] != hashlib.sha256(contents_bytes).hexdigest():
        wrong("contents.json was changed")
    if kept.get(head[0], head[1]) != head[1]:
        wrong("a head that was kept says otherwise of entry %d, in which this archive was written down" % head[0])
    return head


def check_tables(archive, contents, shown):
    """What the journal has of messages and photos must be in the other files, and the other way round."""
    begin, end = instant(contents["from"]), instant(contents["until"])
    inside = [line for line in shown if begin <= line["micros"] < end]
    told = {json.loads(line["body"])["message"] for line in inside if line["kind"].startswith("message-") and "message" in json.loads(line["body"])}
    rows = {row["message"] for row in csv.DictReader(io.StringIO(archive.read("messages.csv").decode(), newline=""))}
    for message in sorted(rows - told):
        wrong("the message %s is in messages.csv, but the journal does not have it" % message)
    bodies = " ".join(line["body"] for line in inside)
    for name in archive.namelist():
        if name.startswith("photos/"):
            seal = name[len("photos/"):-len(".jpg")]
            if hashlib.sha256(archive.read(name)).hexdigest() != seal or seal not in bodies:
                wrong(name + " is not the photo that the journal has")
    return len(inside), len(told - rows)


def main():
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    kept = kept_heads(sys.argv[2:])
    try:
        with zipfile.ZipFile(sys.argv[1]) as archive:
            contents, contents_bytes = files_of(archive)
            seen, shown = check_journal(archive, contents, kept)
            made = check_made(archive, contents_bytes, kept)
            inside, gone = check_tables(archive, contents, shown)
    except (zipfile.BadZipFile, KeyError, ValueError) as broken:
        wrong("it cannot be read, %s: %s" % (type(broken).__name__, broken))
    compared = sorted(number for number in kept if number in seen or number == made[0])
    print("as it was made: %s (%s), from %s until %s" % (contents["cabinet"]["name"], contents["cabinet"]["code"], contents["from"], contents["until"]))
    print("entries %d to %d follow from each other, %d of them are about this and within this time"
          % (contents["journal"]["from"]["number"] + 1, contents["journal"]["until"]["number"], inside))
    print("it was written down as entry %d %s" % made)
    if gone:
        print("%d messages of which the journal has are not kept any more" % gone)
    for number in sorted(set(kept) - set(compared)):
        print("the head of entry %d is not in this stretch, so it shows nothing here" % number)
    print("compared with the kept heads of the entries " + ", ".join(map(str, compared)) if compared
          else "compared with no head that was kept: a journal that was written anew would look the same")


if __name__ == "__main__":
    main()
