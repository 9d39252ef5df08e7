"""One Chromium for everything that is looked at: it shows one page after another and is spoken to through a pipe."""

import base64
import io
import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL import Image

NAMES = ("chromium", "chromium-browser", "google-chrome")
SWITCHES = "--headless --no-sandbox --disable-gpu --disable-dev-shm-usage --hide-scrollbars --remote-debugging-pipe about:blank"
HIGH = 900  # of a screen
AT_ONCE = 8000  # rows of one shot; a longer page is shot in pieces


def chromium_program() -> str:
    found = next(filter(None, map(shutil.which, NAMES)), None)
    assert found, "Chromium is not installed: apt-get install chromium, as .ci/run does"
    return found


class Chromium:
    """A browser with one page. It is told on its file 3 and answers on its file 4, each message ended by a null."""

    def __init__(self) -> None:
        told, tell = os.pipe()
        hear, heard = os.pipe()
        command = f'exec "$0" {SWITCHES} 3<&{told} 4>&{heard}'
        started = ["bash", "-c", command, chromium_program()]
        self.process = subprocess.Popen(started, pass_fds=(told, heard), stderr=subprocess.DEVNULL)
        os.close(told)
        os.close(heard)
        self.tell, self.hear = os.fdopen(tell, "wb"), os.fdopen(hear, "rb", buffering=0)
        self.number, self.session, self.waiting = 0, {}, b""
        page = None
        while page is None:  # on a busy machine the browser answers before it has a page
            page = next((each for each in self.asked("Target.getTargets")["targetInfos"] if each["type"] == "page"), None)
        self.session = {"sessionId": self.asked("Target.attachToTarget", targetId=page["targetId"], flatten=True)["sessionId"]}
        self.frame = self.asked("Page.getFrameTree")["frameTree"]["frame"]["id"]

    def __enter__(self) -> "Chromium":
        return self

    def __exit__(self, *_: object) -> None:
        self.tell.close()
        self.hear.close()
        self.process.terminate()
        self.process.wait(300)

    def asked(self, method: str, **params: object) -> dict[str, Any]:
        """The answer to one message of the DevTools protocol; what happens meanwhile is passed over."""
        self.number += 1
        self.tell.write(json.dumps({"id": self.number, "method": method, "params": params, **self.session}).encode() + b"\0")
        self.tell.flush()
        while True:
            while b"\0" not in self.waiting:
                came = self.hear.read(1 << 20)
                assert came, f"Chromium ended while it was asked {method}"
                self.waiting += came
            message, _, self.waiting = self.waiting.partition(b"\0")
            answer = json.loads(message)
            if answer.get("id") == self.number:
                assert "error" not in answer, (method, answer["error"])
                return answer["result"]

    def show(self, html: str, width: int, *, printed: bool = False) -> None:
        """A page of its own at a width, as on a screen or as on paper before it is cut into sheets."""
        self.asked("Emulation.setDeviceMetricsOverride", width=width, height=HIGH, deviceScaleFactor=1, mobile=False)
        self.asked("Emulation.setEmulatedMedia", media="print" if printed else "screen")
        self.asked("Page.navigate", url="about:blank")
        self.asked("Page.setDocumentContent", frameId=self.frame, html=html)

    def measured(self, script: str) -> Any:
        """What a script says of the page that is shown."""
        answer = self.asked("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def shot(self, scale: float = 1.0) -> "Image.Image":
        """The whole page that is shown, in grey; a scale makes it smaller."""
        from PIL import Image

        wide, high = self.measured("[innerWidth, Math.ceil(document.documentElement.getBoundingClientRect().height)]")
        whole = Image.new("L", (round(wide * scale), round(high * scale)), 255)
        for top in range(0, high, AT_ONCE):
            clip = {"x": 0, "y": top, "width": wide, "height": min(AT_ONCE, high - top), "scale": scale}
            data = self.asked("Page.captureScreenshot", captureBeyondViewport=True, optimizeForSpeed=True, clip=clip)["data"]
            with Image.open(io.BytesIO(base64.b64decode(data))) as piece:
                whole.paste(piece.convert("L"), (0, round(top * scale)))
        return whole


def keep(image: "Image.Image", path: Path) -> None:
    """Writes a grey image in sixteen even greys, so that it takes little room."""
    levels = image.point(lambda grey: round(grey / 17))
    levels.putpalette([17 * level for level in range(16) for _ in "rgb"])
    path.parent.mkdir(parents=True, exist_ok=True)
    levels.save(path, optimize=True, bits=4)
