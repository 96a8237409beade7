"""Codes of what the workbench refuses before any page is asked."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "guard-host",
        "The workbench does not answer to this name",
        "The name in the address is neither this machine's own nor the address chosen with --lan.",
        "A page elsewhere can have a name of its own lead to this machine, and would read under "
        "that name what is meant for you.",
        "Open the address that the terminal shows. Through a tunnel, take the same port at both "
        "ends.",
        "http://127.0.0.1:8042/\nssh -L 8042:127.0.0.1:8042 laptop",
    ),
    Entry(
        "guard-origin",
        "A page of another site asked for this",
        "The browser says that the request was made by a page that is not the workbench's.",
        "Any page in your browser can send requests to this machine. None of them may read or "
        "change a campaign.",
        "Type the address of the workbench into the browser, or use its own links.",
        "http://127.0.0.1:8042/",
    ),
    Entry(
        "guard-token",
        "The page is from before the workbench was started",
        "What was sent lacks the token of this start, which every page of the workbench sends.",
        "It may come from a page of another site, or from one that shows what stood there before "
        "the last start.",
        "Copy what you have typed, load the page again, and do it once more. A script takes the "
        "token from DIR/.loftwright/server.json.",
        'curl -H "X-Loftwright-Token: $TOKEN" -X POST ADDRESS/api/jobs/ID/cancel',
    ),
    Entry(
        "guard-method",
        "The workbench does not do this with its pages",
        "Pages are read with GET (or HEAD) and told something with POST; nothing else is answered.",
        "Nothing was done.",
        "Use GET or POST; the description of the endpoints says which.",
        "curl ADDRESS/api/openapi.json",
    ),
    Entry(
        "guard-address",
        "No page has such an address",
        "The address is too long, asks too many things, or has a sign in it that no name of the "
        "workbench has: a step upwards, a backslash, a control sign, bytes that are no UTF-8.",
        "Addresses never become paths of files; one that tries to is refused as a whole.",
        "Go to the first page and on from there.",
        "http://127.0.0.1:8042/flights/../../etc     # refused\nhttp://127.0.0.1:8042/ledger",
    ),
    Entry(
        "guard-headers",
        "The request brings too much in its headers",
        "The headers are more, or longer, than a browser sends to the workbench.",
        "They are kept in memory; nothing of the request was looked at.",
        "Clear the cookies that the browser keeps for this address: other programs at the same "
        "address, on other ports, share them.",
        "http://localhost:8042/ in place of http://127.0.0.1:8042/",
    ),
    Entry(
        "guard-body",
        "What was sent is too large, or no form",
        "The body of the request is larger than forms are, is neither a form, nor files, nor JSON, "
        "says its length wrongly, or comes with a request that only asks.",
        "Nothing of it was used.",
        "Send files on the pages that ask for them, and forms and JSON as what they are.",
        "Content-Type: application/json",
    ),
    Entry(
        "guard-json",
        "The JSON is nested too deep",
        "Brackets stand within brackets far deeper than any request needs.",
        "Reading it could exhaust the program's stack. Nothing of it was used.",
        "Send what the description of the endpoint asks for.",
        '{"flights": 400, "seed": 1}',
    ),
    Entry(
        "guard-slow",
        "The request came too slowly",
        "The sender paused for too long, or sends fewer bytes a second than any connection does.",
        "A connection that never ends holds up others. Nothing of what it sent was kept.",
        "Send it again, nearer to the laptop or by cable; take a large film in with the command.",
        "loftwright record DIR first-lift film.mp4",
    ),
    Entry(
        "guard-busy",
        "Too much is asked at once",
        "More requests are under way than a laptop answers in good time.",
        "Answering all of them at once would answer none.",
        "Wait a second and load the page again. Close pages that are open several times.",
        "Retry-After: 1",
    ),
    Entry(
        "guard-lan",
        "The workbench is open to its own machine only",
        "The request comes from another machine, and the workbench was started without --lan.",
        "Nobody on a network sees or changes a campaign unless you say so.",
        "Start it with --lan to let a phone in.",
        "loftwright serve DIR --lan",
    ),
    Entry(
        "guard-device",
        "This device has not said a code yet",
        "Devices on the network are known by a code that the laptop shows, once for each.",
        "Everybody on the same network could open the pages otherwise.",
        "Scan the square on the laptop's page Open on a phone, or type the code that stands there.",
        "http://192.168.1.20:8042/enter",
    ),
    Entry(
        "guard-code",
        "This is not the code",
        "What was typed is not the code that the laptop shows now. Each wrong try makes the next "
        "answer wait; after five the code is void.",
        "The device was not let in.",
        "Read the code again from the laptop's screen. Letter case and dashes do not count; O "
        "counts as 0, and I and L as 1.",
        "K7QF-2M9T",
    ),
    Entry(
        "guard-code-void",
        "No code is good now",
        "The code was used by a device, is older than ten minutes, or was typed wrongly too often.",
        "The device was not let in. If nobody of yours typed it, somebody else on the network did.",
        "Ask for a new code on the laptop, on the page Open on a phone, and see there which "
        "devices are in.",
        "http://127.0.0.1:8042/phone",
    ),
    Entry(
        "guard-look",
        "Devices on the network may only look",
        "The workbench was started with --lan-look: phones read its pages and change nothing.",
        "Nothing was done.",
        "Do it on the laptop, or start the workbench with --lan.",
        "loftwright serve DIR --lan",
    ),
    Entry(
        "page-fault",
        "A fault in Loftwright",
        "A page did something that its authors did not foresee. It is not your mistake.",
        "The page is missing; nothing that was already written is lost.",
        "Report it, with what stands in the terminal where the workbench was started.",
        "loftwright serve DIR",
    ),
)
