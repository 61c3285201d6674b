"""Starting the app as a person does."""

import os
import subprocess
import sys

from conftest import free_port


def test_the_command_says_where_the_app_is_and_nothing_else():
    port = free_port()
    start = "import sys; from ui.cli import main; sys.argv = ['inkstrut', *sys.argv[1:]]; main()"
    command = [sys.executable, "-c", start, "app", "--port", str(port)]
    # `true` stands in for the browser, which the command opens by itself.
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env={**os.environ, "BROWSER": "true"}
    ) as process:
        said = process.stdout.readline()
        process.terminate()
        rest = process.stdout.read()
    assert said == f"Inkstrut runs at http://localhost:{port} (Ctrl+C stops it).\n"
    assert rest.strip() in ("", "Stopping...")
