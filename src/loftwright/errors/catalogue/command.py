"""Codes of the command line itself."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "command-usage",
        "The command was not given as it is meant",
        "A command, an option or an argument is unknown, missing, or has a value it cannot take.",
        "Nothing was done: the command does not guess what was meant.",
        "Compare with the help of the command.",
        "loftwright forecast DIR --flights many     # wrong\n"
        "loftwright forecast DIR --flights 500      # right",
    ),
    Entry(
        "command-no-code",
        "There is no page for this code",
        "The word after explain is not the code of any error or warning.",
        "There is nothing to show.",
        "Copy the code as it stands in the message, or list all codes with loftwright explain.",
        "loftwright explain vehicle-over-proof",
    ),
    Entry(
        "command-setting",
        "A --set cannot be used",
        "What follows --set is not PATH=VALUE, or its path does not begin with a document of this "
        "campaign: campaign, vehicle, payload or site.",
        "A value that is set nowhere would change nothing, and be believed to have.",
        "Give the path as the reference of the documents has it, with the document in front and "
        "list entries counted from 0.",
        "--set fill.water_volume='0.8 L'           # wrong: which document?\n"
        "--set vehicle.fill.water_volume='0.8 L'   # right\n"
        "--set vehicle.fins.0.count=3              # the first set of fins",
    ),
    Entry(
        "command-same-campaign",
        "Both folders are the same campaign",
        "The second folder of a comparison leads to the same campaign as the first.",
        "A comparison of a thing with itself tells nothing.",
        "Name another folder, or say with --set what is to be changed.",
        "loftwright compare spring spring                                   # wrong\n"
        "loftwright compare spring --set payload.hold.strength='22 N'       # right",
    ),
    Entry(
        "command-output",
        "An output that would cost a file",
        "The file to write is a document of the campaign, a record to be read, a part of the "
        "campaign's evidence, asked for twice, or no regular file.",
        "Outputs can be made again; documents and records of firings and flights cannot.",
        "Give the output a name of its own.",
        "--report vehicle.toml     # wrong\n--report report.html      # right",
    ),
    Entry(
        "command-fitted-already",
        "Fitted to these records already",
        "A comment in the vehicle's document says that its values were fitted to a record that is "
        "now given again.",
        "The values hold already what the record says. Fitted to it once more, one firing counts "
        "like two, and the result looks surer than it is.",
        "To start over, put the values from before that fit back and take the comment out. Fit "
        "several records in one run, not one after the other. --again goes on all the same.",
        "loftwright firing DIR --fit one.txt two.txt --write     # together, once",
    ),
    Entry(
        "command-other-fill",
        "The record is of another fill",
        "The header of a record states a pressure, an amount of water or a temperature clearly "
        "other than the vehicle's document.",
        "The fit takes each record at its own word. But the firing that is computed from the "
        "document is of another fill, so it cannot be compared with the record, and nothing is "
        "learnt about the document's fill.",
        "Give the fill that was fired with --set or in the document; or correct the header, if "
        "that is wrong.",
        "--set vehicle.fill.water_volume='1.00 L'",
    ),
    Entry(
        "command-no-output",
        "The answer could not be written out",
        "Standard output is closed, full, or goes to a program that has ended.",
        "The answer is lost, or a part of it. Files that were written before stand.",
        "See whether the disk has room, and read to the end of what the command says.",
        "loftwright check DIR --json > answer.json",
    ),
    Entry(
        "command-needs-extra",
        "An optional part is not installed",
        "The option needs a package that Loftwright works without, so it is not installed with it.",
        "The file that was asked for cannot be written, or other machines cannot be reached.",
        "Install the package; or write --csv or --npz, or fly on this machine, which need nothing "
        "more.",
        "python -m pip install pyarrow            # for --parquet\n"
        "python -m pip install 'distributed>=2025'  # for --cluster, on every machine",
    ),
    Entry(
        "command-begun",
        "An earlier run's flights stand in the way",
        "A run with the same --parquet file was stopped, and what it had flown stands beside that "
        "file under a name with .partial in it.",
        "Flown anew, those flights would be lost when this run is stopped too.",
        "Go on from them with --resume, or remove the file.",
        "loftwright forecast DIR --flights 1000000 --parquet million.parquet --resume",
    ),
    Entry(
        "command-resume",
        "The flights in the file cannot be gone on with",
        "The file cannot be read, or its flights were made otherwise: from other documents or "
        "settings, with another seed or tolerance, or by other code; or more stand there than are "
        "asked for.",
        "Flights made in two ways do not belong into one ensemble.",
        "Give what the first run was given; or begin anew, without --resume, to another file.",
        "loftwright forecast DIR --flights 1000000 --seed 1 --parquet million.parquet --resume",
    ),
    Entry(
        "command-interrupted",
        "The command was stopped",
        "It was interrupted, by Ctrl-C for instance, before it was done.",
        "Results that were not yet complete are lost. Files are written whole or not at all, so "
        "each is either as it was or as it was meant to be. Only the flights of --parquet are kept "
        "as far as they came, in a file with .partial in its name.",
        "Run the same command again; the same seed gives the same flights. With --parquet, "
        "--resume spares those that were flown.",
        "loftwright forecast DIR --flights 200 --seed 1",
    ),
    Entry(
        "command-fault",
        "A fault in Loftwright",
        "The program did something that its authors did not foresee. It is not your mistake.",
        "The answer is missing; nothing that was already written is lost.",
        "Report it, with the documents if you may, and with what the command shows when the "
        "variable LOFTWRIGHT_TRACEBACK is set to 1.",
        "LOFTWRIGHT_TRACEBACK=1 loftwright check DIR",
    ),
)
