"""The pages in a real browser: Debian's Chromium, driven against a server of its own.

    browser_checks.py PROGRAM AXE PICTURES

PROGRAM is standfast, AXE the script of axe-core, PICTURES a folder for screenshots at four widths, to be looked at.
Each scenario says what a person does and what must be there then; any that does not hold ends with status 1.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import traceback
from datetime import date, timedelta
from pathlib import Path

from selenium import webdriver
from selenium.common.exceptions import StaleElementReferenceException
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.actions.action_builder import ActionBuilder
from selenium.webdriver.common.actions.pointer_input import PointerInput
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select, WebDriverWait

# A phone, a tablet held upright, a laptop, a 27-inch screen: how wide, and how high its first screenful is.
SCREENS = {360: 740, 820: 1180, 1280: 800, 2560: 1440}
PROGRAM, AXE, PICTURES = Path(sys.argv[1]), Path(sys.argv[2]).read_text(), Path(sys.argv[3])
FLAGS = [
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--no-first-run", "--hide-scrollbars",
]


class Server:
    """The program with a book in a folder of its own."""

    def __init__(self):
        self.folder = Path(tempfile.mkdtemp())
        self.process = None
        self.start()

    def start(self, listen="127.0.0.1:0"):
        self.log = open(self.folder / "log", "a")
        self.process = subprocess.Popen(
            [PROGRAM.resolve(), "serve", "--listen", listen], cwd=self.folder, stdout=subprocess.PIPE,
            stderr=self.log, text=True,
        )
        self.address = self.process.stdout.readline().strip()
        assert self.address.startswith("http://"), "the program did not say where it listens"

    def again(self):
        """Killed in the middle, and started where it was."""
        self.process.kill()
        self.process.wait()
        self.start(self.address.removeprefix("http://"))

    def stop(self):
        self.process.terminate()
        assert self.process.wait(12) == 0, "it does not stop in order"
        shutil.rmtree(self.folder)


class Tablet:
    """A browser at the server's pages."""

    def __init__(self, server, width=1024):
        options = webdriver.ChromeOptions()
        options.binary_location = shutil.which("chromium")
        for flag in FLAGS:
            options.add_argument(flag)
        options.add_argument(f"--user-data-dir={tempfile.mkdtemp()}")
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        service = webdriver.ChromeService(executable_path=shutil.which("chromedriver"))
        self.server, self.browser = server, webdriver.Chrome(options=options, service=service)
        self.wide(width)

    def wide(self, width, height=900):
        shape = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", shape)

    def go(self, path):
        self.browser.get(self.server.address + path)

    def one(self, css):
        return self.browser.find_element(By.CSS_SELECTOR, css)

    def all(self, css):
        return self.browser.find_elements(By.CSS_SELECTOR, css)

    def text(self, css="main"):
        """What is there now: a live page may replace it while it is read."""
        for _ in range(5):
            try:
                return self.one(css).text
            except StaleElementReferenceException:
                continue
        raise AssertionError(f"{css} is replaced again and again")

    def until(self, what, wait=10):
        WebDriverWait(self.browser, wait, 0.05, ignored_exceptions=(Exception,)).until(lambda _: what())

    def fill(self, **fields):
        for name, value in fields.items():
            field = self.one(f"[name={name}]")
            if field.tag_name == "select":
                Select(field).select_by_value(value)
            elif field.get_attribute("type") == "radio":
                self.press(f"[name={name}][value='{value}']")
            elif field.get_attribute("type") == "date":
                self.browser.execute_script("arguments[0].value = arguments[1]", field, value)
            else:
                field.clear()
                field.send_keys(value)

    def press(self, css):
        """A button that a live page replaced meanwhile was not pressed: the new one is."""
        for _ in range(5):
            try:
                button = self.one(css)
                self.browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
                return button.click()
            except StaleElementReferenceException:
                continue
        raise AssertionError(f"{css} is replaced again and again")

    def link(self, text):
        self.browser.find_element(By.LINK_TEXT, text).click()

    def sign_in(self, person, pin="2580"):
        self.go("/sign-in")
        self.fill(person=person, pin=pin)
        self.press("main button.main")
        self.until(lambda: person in self.text(".who"))

    def enter(self, form, **fields):
        self.go(f"/enter/{form}")
        self.fill(**fields)
        self.press("main button.main")
        self.until(lambda: f"/enter/{form}" not in self.browser.current_url)

    def cut(self, is_cut):
        """Takes the network away, or gives it back."""
        self.browser.execute_cdp_cmd("Network.enable", {})
        self.browser.execute_cdp_cmd(
            "Network.emulateNetworkConditions",
            {"offline": is_cut, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1},
        )

    def complaints(self):
        """What the browser itself found wrong, being cut off aside."""
        logged = [entry["message"] for entry in self.browser.get_log("browser") if entry["level"] == "SEVERE"]
        fine = re.compile(r"ERR_INTERNET_DISCONNECTED|ERR_CONNECTION|ERR_EMPTY_RESPONSE|ERR_INCOMPLETE|status of (401|403|404|409|422|429)")
        return [message for message in logged if not fine.search(message)]

    def close(self):
        complaints = self.complaints()
        self.browser.quit()
        assert not complaints, complaints


def first_run(server):
    """A new shop is begun at the first page, and the board shows its lifts."""
    tablet = Tablet(server)
    tablet.go("/")
    assert "Begin" in tablet.text("h1")
    tablet.fill(shop="Tarnwick Motor Works", zone="Europe/Berlin", name="R. Holt", person="r-holt", of_age="1990-01-01")
    tablet.fill(rules="germany", pin="2580", again="2581")
    tablet.press("form button.main")
    tablet.until(lambda: "differ" in tablet.text())
    assert tablet.one("[name=shop]").get_attribute("value") == "Tarnwick Motor Works", "what was written is lost"
    tablet.fill(pin="2580", again="2580")
    tablet.press("form button.main")
    tablet.until(lambda: "First steps" in tablet.text("h1"))
    tablet.press("form[action='/invented'] button")
    tablet.until(lambda: "North bay" in tablet.text())
    assert tablet.text().count("Must not be used") == 3, "a lift that nobody examined is offered"
    tablet.close()


class Newcomer(Tablet):
    """Counts what a person does: fields, keys, touches.

    Their time by the keystroke-level model (Card, Moran, Newell 1980): 0.28 s a key for a typist who is not skilled,
    1.1 s to point, 0.2 s to touch, 1.35 s to think before each field and each touch.
    """

    def __init__(self, server):
        super().__init__(server)
        self.fields = self.keys = self.touches = 0
        self.began = time.monotonic()

    def fill(self, **fields):
        super().fill(**fields)
        self.fields += len(fields)
        picked = lambda field: field.tag_name == "select" or field.get_attribute("type") == "radio"
        self.keys += sum(1 if picked(self.one(f"[name={name}]")) else len(value)
                         for name, value in fields.items())

    def press(self, css):
        super().press(css)
        self.touches += 1

    def seconds(self):
        return 0.28 * self.keys + (self.fields + self.touches) * (1.1 + 0.2 + 1.35)

    def told(self, what):
        seconds, machine = self.seconds(), time.monotonic() - self.began
        print(f"     {what}: {self.fields} fields, {self.keys} keys, {self.touches} touches: {seconds:.0f} s by the "
              f"keystroke-level model, {machine:.1f} s as the browser was driven")
        assert seconds + machine < 180, f"{what} takes {seconds + machine:.0f} s"


def begun(server):
    """A newcomer whose book is begun, at the first steps."""
    newcomer = Newcomer(server)
    newcomer.go("/")
    newcomer.fill(shop="Tarnwick Motor Works", name="R. Holt", person="r-holt", of_age="1990-01-01", pin="2580", again="2580")
    newcomer.press("form button.main")
    newcomer.until(lambda: "First steps" in newcomer.text("h1"))
    return newcomer


def first_plan_in_three_minutes(_):
    """From the first page to a first plan: of an invented vehicle, of one's own by its figures, of one's own as measured."""
    figures = dict(wheelbase="2520", mass="1180", front="580", rear="1980", left="700", body="hatchback", drive="front")
    shown = lambda newcomer: newcomer.all("#answer .arm") and newcomer.all("#answer .least")
    ways = []

    def invented(newcomer):
        newcomer.press("form[action='/invented'] button")
        newcomer.until(lambda: newcomer.all(".bay"))
        newcomer.press(".top nav a[href='/plan']")
    ways.append(("a first plan, all invented", invented))

    def by_figures(newcomer):
        newcomer.press(".steps a[href='/plan']")
        newcomer.until(lambda: newcomer.all("details .quick") or newcomer.all("form.quick"))
        newcomer.press("details:has(form.quick) summary")
        newcomer.fill(**figures)
        newcomer.press("form.quick button.main")
        newcomer.until(lambda: "wheelbase=2520" in newcomer.browser.current_url)
    ways.append(("a first plan of one's own vehicle by its figures", by_figures))

    def measured(newcomer):
        newcomer.press(".steps a[href='/measure/vehicle']")
        for choice, value in [("hatchback", ""), ("front", ""), ("", "2520"), ("total", ""), ("", "1180"), ("", "580"),
                              ("", "700"), ("", "1980"), ("", "700")]:
            here = newcomer.browser.current_url
            if value:
                newcomer.until(lambda: newcomer.one(".measure form [name=value]").tag_name == "input")
                before = newcomer.one("#picture").get_attribute("innerHTML")
                newcomer.fill(value=value)
                newcomer.until(lambda: newcomer.one("#picture").get_attribute("innerHTML") != before)
            newcomer.press(f".measure button[value='{choice or 'on'}']")
            newcomer.until(lambda: newcomer.browser.current_url != here and newcomer.all("form.sheet"))
        newcomer.fill(mark="TW 17 C")
        newcomer.press("form.sheet button.main")
        newcomer.until(lambda: "tw-17-c" in newcomer.text("h1"))
        newcomer.press("a.button.main")
    ways.append(("a first plan of one's own vehicle, measured", measured))

    for what, way in ways:
        server = Server()
        newcomer = begun(server)
        way(newcomer)
        newcomer.until(lambda: shown(newcomer))
        newcomer.told(what)
        newcomer.close()
        server.stop()


def measuring(server):
    """A lift's first dimensions: an odd one is asked about, back keeps what was typed, without scripts it works too."""
    tablet = Tablet(server)
    tablet.sign_in("r-holt")
    tablet.wide(360, SCREENS[360])
    tablet.go("/measure/lift/columns.inside")
    tablet.browser.execute_script("document.querySelector('[name=value]').focus()")
    assert not out_of_sight(tablet, "[name=value]"), "what is typed is under the buttons"
    tablet.wide(1024)
    tablet.fill(value="1900")
    tablet.press(".on button.main")
    tablet.until(lambda: "legal but odd" in tablet.text())
    assert "It is \"1900 mm\"" in tablet.text(".told"), "the figure goes by the key of a file"
    tablet.press("button[value=right]")
    tablet.until(lambda: "front_face" in tablet.browser.current_url)
    tablet.fill(value="150")
    tablet.press(".on button[value=back]")
    tablet.until(lambda: "columns.inside" in tablet.browser.current_url)
    assert tablet.one("[name=value]").get_attribute("value") == "1900"
    tablet.browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    tablet.go("/measure/lift/columns.front_face_ahead")
    assert tablet.one("[name=value]").get_attribute("value") == "150", "going back lost it"
    tablet.one(".on button.main").click()
    tablet.until(lambda: "rear_face" in tablet.browser.current_url)
    tablet.browser.quit()


def people(server):
    """An examiner, a technician and a learner are entered, and the lift is made fit."""
    tablet, today = Tablet(server), date.today()
    tablet.sign_in("r-holt")
    for person, role in [("m-quill", "examiner"), ("t-vane", "technician"), ("l-moss", "learner")]:
        tablet.enter("person", name=person.upper(), person=person, role=role, of_age="1990-01-01")
        tablet.press("details summary")
        tablet.fill(present="2580", pin="2580", again="2580")
        tablet.press("details button.main")
        tablet.until(lambda: not tablet.all("details[open]"))
    for person in ["r-holt", "t-vane", "l-moss"]:
        tablet.enter("instruction", person=person, on=str(today), subject="two-post lifts")
        tablet.enter("authorisation", person=person, on=str(today), paper="folder 3")
    examiner = Tablet(server)
    examiner.sign_in("m-quill")
    examiner.go("/enter/examination")
    for wide in (360, 768, 1024, 1366):
        examiner.wide(wide, 800)
        broken = [f.text for f in examiner.all(".either .choice span") if " " not in f.text and f.size["height"] > 40]
        assert not broken, f"broken within a word at {wide}: {broken}"
    examiner.fill(lift="north-bay", on=str(today), kind="regular", fit="yes")
    for field in examiner.all("form.sheet input:not([type]), form.sheet textarea"):
        field.send_keys("none")
    examiner.press("main button.main")
    examiner.until(lambda: "/lift/north-bay" in examiner.browser.current_url)
    tablet.go("/lift/north-bay")
    assert "none" in tablet.text("#examination-1"), "the report cannot be read where it is confirmed"
    tablet.press("#examination-1 button.main")
    tablet.until(lambda: not tablet.all("#examination-1 button"))
    tablet.go("/today")
    tablet.press(".bay[data-lift=north-bay] a[href*='/enter/check']")
    tablet.until(lambda: tablet.all("[name=lift]"))
    assert tablet.one("[name=lift][value=north-bay]").is_selected(), "the lift is to be chosen again"
    items = [field.get_attribute("name") for field in tablet.all("form.sheet [type=radio][value=right]")]
    assert len(items) == 8
    assert not any(field.is_displayed() for field in tablet.all("[name$=-words]")), "what is wrong is asked before anything is"
    tablet.press(f"[name={items[0]}][value=wrong]")
    assert tablet.one(f"[name={items[0]}-words]").is_displayed()
    tablet.fill(**{item: "right" for item in items})
    tablet.press("main button.main")
    tablet.until(lambda: "/lift/north-bay" in tablet.browser.current_url)
    tablet.go("/today")
    assert tablet.text(".bay.free h2") == "North bay"
    tablet.close()
    examiner.close()


def first_raise(server):
    """The first steps say what is missing before the first raise, each with its form; before it nothing is missing in that bay."""
    tablet = Tablet(server)
    tablet.sign_in("r-holt")
    tablet.go("/today")
    tablet.press("a[href^='/first-steps']")
    tablet.until(lambda: tablet.all("#first-raise"))
    said = tablet.text("#first-raise")
    assert "Nothing is missing here" in said and "Report the examination: by examiner" in said
    assert "R. Holt" not in said, "who may lead a raise lacks nothing"
    tablet.close()


def settings(server):
    """A lead sets the shop's limits, is told at the field what is wrong, and chooses units for every tablet; others only see."""
    tablet, other = Tablet(server), Tablet(server)
    tablet.sign_in("r-holt")
    tablet.go("/settings")
    tablet.press("a[href='/settings/limits']")
    tablet.until(lambda: tablet.all("[name=edge_distance]"))
    tablet.fill(edge_distance="9 m", **{"edge_distance-source": "house rule"})
    tablet.press("main button.main")
    tablet.until(lambda: tablet.all(".wrong"))
    field = tablet.one("fieldset:has([name=edge_distance])")
    assert "a shop may choose" in field.text and len(tablet.all(".wrong")) == 1
    tablet.fill(edge_distance="12 cm")
    tablet.press("main button.main")
    tablet.until(lambda: "the shop's own: house rule" in tablet.text())
    other.go("/plan?lift=long-bay&vehicle=long-van")
    assert " lb" not in other.text("#answer")
    for units, says, shown in [("us", "inches and pounds", " lb"), ("metric", "millimetres and kilograms", " kg")]:
        tablet.go("/settings")
        tablet.press("details:has([action='/enter/units']) summary")
        tablet.press(f"form[action='/enter/units'] [value={units}]")
        tablet.press("form[action='/enter/units'] button.main")
        tablet.until(lambda: says in tablet.text())
        other.go("/plan?lift=long-bay&vehicle=long-van")
        assert shown in other.text("#answer"), f"a tablet that chose nothing does not follow: {units}"
    tablet.go("/settings/limits")
    tablet.fill(edge_distance="", **{"edge_distance-source": ""})
    tablet.press("main button.main")
    tablet.until(lambda: tablet.browser.current_url.endswith("/settings") and "house rule" not in tablet.text())
    other.sign_in("t-vane")
    other.go("/settings")
    assert not other.all("form[action^='/enter/']"), "a technician is offered to change the rules"
    tablet.close()
    other.close()


def job_by_form(server):
    """A job is made at a page: a part by its name, one of its own, a task with a force; a slip is told at its field; a plan goes by it."""
    tablet = Tablet(server, 820)
    tablet.sign_in("t-vane")
    tablet.go("/records")
    tablet.link("Make a job")
    tablet.until(lambda: tablet.all("form.pick [name=vehicle]"))
    tablet.fill(vehicle="hatchback")
    tablet.press("form.pick button")
    tablet.until(lambda: "vehicle=hatchback" in tablet.browser.current_url)
    fill = lambda **fields: tablet.fill(**{f"'{name.replace('__', '.')}'": value for name, value in fields.items()})
    folded = tablet.all(".group > details:not([open]) > summary")
    assert [one.text for one in folded] == ["Loads left in it none", "Parts that the vehicle's file does not list none", "Doors that must open none", "Stands at hand, all alike none"]
    folded[0].click()
    fill(name="Wheels off", loads__0__name="tool box", loads__0__mass="thirty", loads__0__at__0="2600", loads__0__at__1="0", loads__0__at__2="600")
    fill(steps__0__part="front wheels", steps__1__part="front wheels", steps__1__way="on")
    fill(tasks__0__name="wheels", tasks__0__posture="standing at a wheel", people__0__name="fitter", people__0__stature="1780")
    tablet.press("button[value=look]")
    tablet.until(lambda: len(tablet.all(".wrong")) == 1)
    assert "thirty" in tablet.text("div:has(> label > [name='loads.0.mass'])"), "the slip is not told where it was made"
    fill(loads__0__mass="30 +- 5")
    tablet.press("fieldset:has([name='tasks.0.name']) details summary")
    fill(tasks__0__forces__0__common="wheel nut", tasks__0__forces__0__at__0="0", tasks__0__forces__0__at__1="750", tasks__0__forces__0__at__2="300")
    tablet.press("label:has(input[value='front wheels off']) input")
    tablet.press("button[value=enter]")
    tablet.until(lambda: "/job/wheels-off" in tablet.browser.current_url)
    tablet.press("a.button.main")
    tablet.until(lambda: tablet.all("#answer .arm"))
    assert "job=wheels-off" in tablet.browser.current_url and "vehicle=hatchback" in tablet.browser.current_url
    tablet.close()


def without_words(server):
    """With gloves on: "Not right", then what it is, and it is written. Something else is asked for in words."""
    tablet = Tablet(server, 820)
    tablet.wide(820, SCREENS[820])
    tablet.sign_in("r-holt")
    to_shaken(tablet)
    for wide in (360, 820):
        tablet.wide(wide, SCREENS[wide])
        tablet.press("a.not-right")
        tablet.browser.save_screenshot(str(PICTURES / f"raise-not-right-{wide}.png"))
        small = [button.rect for button in tablet.all(".signs button") if button.rect["height"] < 64 or button.rect["width"] < 280]
        assert not small, f"too small for a glove at {wide}: {small}"
    time.sleep(0.5)
    tablet.press("#not-right [value=other]")
    time.sleep(0.5)
    assert "not right: " not in tablet.browser.execute_script(HISTORY), "something else was written without a word"
    tablet.press("a.not-right")
    time.sleep(0.5)
    tablet.press("#not-right [value=noise]")
    tablet.until(lambda: "noise: said on the page, without more words" in tablet.browser.execute_script(HISTORY))
    tablet.until(lambda: "under or around" in tablet.text(".point h1"))
    tablet.press("#not-right [value=down]")
    tablet.until(lambda: "Only the way down" in tablet.text())
    assert not tablet.all("#not-right [value=down], #not-right [value=lock]"), "what is not done any more is offered"
    while tablet.all(".confirm button"):
        confirm(tablet)
    tablet.close()


def replay(server):
    """A raise that ended is walked through by the arrow keys and by links without scripts; what went wrong is seen at its place."""
    tablet = Tablet(server, 820)
    tablet.sign_in("r-holt")
    tablet.go("/records?words=a+creak+at+the+rear+left")
    raised = re.search(r"Raise (\d+): noise", tablet.text()).group(1)
    tablet.go(f"/raise/{raised}")
    tablet.link("Walk through it step by step")
    tablet.until(lambda: "Step 1 of" in tablet.text())
    assert "driven on and spotted" in tablet.text("h1") and "Confirmed by r-holt" in tablet.text()
    steps, seen = int(re.search(r"Step 1 of (\d+)", tablet.text()).group(1)), []
    ready = lambda: tablet.browser.execute_script("return document.readyState") == "complete"
    for step in range(1, steps + 1):
        tablet.until(lambda: f"Step {step} of" in tablet.text() and ready())
        seen.append((tablet.text("h1"), "a creak at the rear left" in tablet.text(".point")))
        tablet.one("body").send_keys(Keys.ARROW_RIGHT)
    after = [k for k, (_, creaked) in enumerate(seen) if creaked]
    assert len(after) == 1 and "under or around" in seen[after[0]][0], seen
    tablet.one("body").send_keys(Keys.ARROW_LEFT)
    tablet.until(lambda: f"Step {steps - 1} of" in tablet.text())
    tablet.browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    tablet.go(f"/raise/{raised}/replay?step=4")
    assert tablet.all(".point svg")
    tablet.one("a[rel=next]").click()
    tablet.until(lambda: "Step 5 of" in tablet.text())
    tablet.one("a[rel=prev]").click()
    tablet.until(lambda: "Step 4 of" in tablet.text())
    tablet.browser.quit()


def plan_by_touch(server):
    """Bay, vehicle and job are picked; the vehicle is dragged with a finger; the figures follow; one touch goes back."""
    tablet = Tablet(server, 820)
    tablet.go("/plan?lift=north-bay&vehicle=long-van")
    best = tablet.text("#answer .wheel strong")
    assert "ahead" in best
    svg = tablet.one("#stage")
    tablet.browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", svg)
    box = tablet.browser.execute_script(
        "const r = arguments[0].getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height * 0.62, r.height]", svg)
    before = tablet.browser.execute_script("return arguments[0].getBoundingClientRect().top", svg)
    finger = PointerInput("touch", "finger")
    actions = ActionBuilder(tablet.browser, mouse=finger)
    move = actions.pointer_action
    move.move_to_location(int(box[0]), int(box[1])).pointer_down()
    for step in range(1, 16):
        move.move_to_location(int(box[0]) + step, int(box[1]) + 4 * step)
        move.pause(0.02)
    actions.perform()
    tablet.until(lambda: tablet.text("#answer .wheel strong") != best)
    top = "return document.querySelector('#stage').getBoundingClientRect().top"
    assert abs(tablet.browser.execute_script(top) - before) < 2, "the drawing slips away under the finger"
    assert all("kg" in load.text for load in tablet.all("#stage .carries")), "no pad tells its load while things move"
    release = ActionBuilder(tablet.browser, mouse=finger)
    release.pointer_action.pointer_up()
    release.perform()
    assert "As you moved it" in tablet.text("#answer")
    took = tablet.one(".stage").get_attribute("data-took")
    assert "Must not be raised" in tablet.text("#answer .verdict"), "moved 40 cm off its mark, and still fine"
    tablet.press(".stage [data-home]")
    tablet.until(lambda: tablet.text("#answer .wheel strong") == best)
    tablet.browser.switch_to.active_element.send_keys("")
    tablet.until(lambda: tablet.text("#answer .wheel strong") == best and not tablet.all("#answer .moved"))
    tablet.press("#answer .least a")
    tablet.until(lambda: "Worked out" in tablet.text("h1"))
    tablet.close()
    print(f"   the last answer under the finger came in {took} ms")


def plan_comes_back(server):
    """What was moved is there again after a reload and after coming back from elsewhere; Back undoes it, Forward does it again."""
    tablet = Tablet(server, 820)
    tablet.go("/today")
    tablet.go("/plan?lift=north-bay&vehicle=hatchback")
    wheel = lambda: tablet.text("#answer .wheel strong")
    planned = wheel()
    tablet.browser.execute_script("document.querySelector('#stage').scrollIntoView({block: 'center'})")
    start = [int(place) for place in middle(tablet, "#stage")]
    actions = ActionBuilder(tablet.browser, mouse=PointerInput("touch", "finger"))
    move = actions.pointer_action
    move.move_to_location(*start).pointer_down()
    for step in range(1, 9):
        move.move_to_location(start[0], start[1] - 2 * step)
        move.pause(0.02)
    move.pointer_up()
    actions.perform()
    tablet.until(lambda: "spot=" in tablet.browser.current_url)
    moved, address = wheel(), tablet.browser.current_url
    assert moved != planned
    tablet.browser.refresh()
    assert wheel() == moved, "a reload loses it"
    tablet.go("/records")
    tablet.browser.back()
    tablet.until(lambda: wheel() == moved, 5)
    assert tablet.browser.current_url == address
    tablet.browser.back()
    tablet.until(lambda: wheel() == planned and "spot=" not in tablet.browser.current_url)
    tablet.until(lambda: not tablet.all("#answer .moved"))
    tablet.browser.forward()
    tablet.until(lambda: wheel() == moved)
    assert tablet.browser.current_url == address
    tablet.browser.refresh()
    assert wheel() == moved
    tablet.browser.back()
    tablet.until(lambda: wheel() == planned)
    tablet.browser.back()
    tablet.until(lambda: tablet.browser.current_url.endswith("/today"))
    tablet.close()


def middle(tablet, css):
    """Where something is on the screen."""
    return tablet.browser.execute_script(
        "const r = document.querySelector(arguments[0]).getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]", css)


def which_bay(server):
    """A vehicle is dragged onto a bay, by finger and by mouse; each bay answers; the best is offered; by key; without scripts."""
    tablet = Tablet(server, 820)
    tablet.wide(820, SCREENS[820])
    vehicle = "#tray [data-vehicle=hatchback]"
    for kind, pointer in [("touch", "finger"), ("mouse", "mouse")]:
        tablet.go("/today")
        missing = out_of_sight(tablet, "#tray [data-vehicle]", "#board [data-lift] .state")
        assert not missing, f"to be scrolled to before it can be dragged: {missing}"
        start, bay = middle(tablet, vehicle), middle(tablet, "#board [data-lift=north-bay] h2")
        actions = ActionBuilder(tablet.browser, mouse=PointerInput(kind, pointer))
        move = actions.pointer_action
        move.move_to_location(int(start[0]), int(start[1])).pointer_down()
        for step in range(1, 11):
            move.move_to_location(*[int(a + (b - a) * step / 10) for a, b in zip(start, bay)])
            move.pause(0.03)
        move.pause(0.5).pointer_up()
        actions.perform()
        tablet.until(lambda: "North bay: Takes it" in tablet.text("#fits .verdict"))
        assert "Takes it" in tablet.text("#board [data-lift=north-bay] .fit")
        assert not tablet.all(".ghost") and not tablet.all(".over")
    said = tablet.text("#fits")
    assert "Must not be used" in said and "Plan in North bay" in said and "Plan in Mill bay" not in said
    assert "Must not be used" not in tablet.text("#fits .verdict")
    tablet.link("Plan in North bay")
    tablet.until(lambda: tablet.all("#answer .arm"))
    assert "lift=north-bay&vehicle=hatchback" in tablet.browser.current_url
    tablet.go("/today")
    tablet.one("[name=find]").send_keys("pick")
    tablet.until(lambda: len(tablet.all("#tray [data-vehicle]")) == 1)
    tablet.one("[name=find]").send_keys(Keys.ENTER)
    tablet.until(lambda: "Which bay takes pickup" in tablet.text("#fits"))
    tablet.go("/today")
    tablet.one(vehicle).send_keys(Keys.ENTER)
    tablet.until(lambda: "Which bay takes hatchback" in tablet.text("#fits"))
    assert "vehicle=hatchback" in tablet.browser.current_url
    tablet.close()
    plain = Tablet(server)
    plain.browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    plain.go("/today")
    plain.one(vehicle).click()
    plain.until(lambda: "Which bay takes hatchback" in plain.text("#fits"))
    assert "Takes it" in plain.text("#board [data-lift=north-bay] .fit")
    plain.browser.quit()


def answers_are_of_what_was_asked(server):
    """Cut off, a bay says nothing of a vehicle by another's answer; with another job picked, all are asked again."""
    tablet = Tablet(server, 820)
    tablet.go("/today")
    fit = lambda: tablet.text("#board [data-lift=north-bay] .fit") if tablet.all("#board [data-lift=north-bay] .fit") else ""
    plan = lambda: tablet.one("#board [data-lift=north-bay] [data-plan]").get_attribute("href")
    tablet.press("#tray [data-vehicle=hatchback]")
    tablet.until(lambda: "hatchback: Takes it" in fit())
    jobs = Select(tablet.one("[name=job]"))
    jobs.select_by_index(1)
    job = jobs.first_selected_option.get_attribute("value")
    tablet.until(lambda: f"hatchback, {job}: " in fit() and f"for {job}" in tablet.text("#fits"), 30)
    tablet.cut(True)
    tablet.press("#tray [data-vehicle=recovery-truck]")
    tablet.until(lambda: "recovery-truck" in tablet.text("#fits") and "does not answer" in tablet.text("#fits"))
    assert "Takes it" not in tablet.text("#board") and "hatchback" not in plan(), "one vehicle's fit stands as another's"
    tablet.browser.save_screenshot(str(PICTURES / "board-unanswered.png"))
    tablet.cut(False)
    tablet.close()


def tapped_three_times(server):
    """On a slow network a form is tapped three times: it is written once."""
    tablet = Tablet(server, 820)
    tablet.sign_in("t-vane")
    tablet.go("/enter/defect?lift=mill-bay")
    tablet.fill(words="a bolt is loose, said once", stops_use="no")
    tablet.browser.execute_cdp_cmd("Network.enable", {})
    slow = {"offline": False, "latency": 800, "downloadThroughput": -1, "uploadThroughput": -1}
    tablet.browser.execute_cdp_cmd("Network.emulateNetworkConditions", slow)
    button = tablet.one("main button.main")
    tablet.browser.execute_script("for (const wait of [0, 150, 300]) setTimeout(() => arguments[0].click(), wait)", button)
    tablet.until(lambda: "/lift/mill-bay" in tablet.browser.current_url)
    tablet.cut(False)
    tablet.go("/lift/mill-bay")
    assert tablet.text("#happened").count("a bolt is loose, said once") == 1, tablet.text("#happened")
    tablet.close()


def millimetres(words):
    return int(re.search(r"(\d+) mm", words).group(1))


def out_of_sight(tablet, *wanted):
    """Of these, what is not wholly on the screen now, or is covered."""
    return tablet.browser.execute_script("""
        const seen = (element) => {
            const r = element.getBoundingClientRect();
            if (r.width === 0 || r.top < -1 || r.left < -1 || r.bottom > innerHeight + 1 || r.right > innerWidth + 1) return false;
            const at = document.elementFromPoint(r.x + r.width / 2, r.bottom - 4);
            return at !== null && (element.contains(at) || at.contains(element));
        };
        return arguments[0].filter((css) => {
            const all = [...document.querySelectorAll(css)];
            return all.length === 0 || !all.every(seen);
        });""", wanted)


def first_screenful(server):
    """May it go up, where the wheel stands, four arms: on the first screenful of each screen; the drawing with its figures, too."""
    tablet = Tablet(server)
    for wide, high in SCREENS.items():
        tablet.wide(wide, high)
        tablet.go("/plan?lift=north-bay&vehicle=hatchback")
        missing = out_of_sight(tablet, "#answer .verdict", "#answer .wheel", "#answer .arm dl:not(.minor)")
        assert not missing, f"not on the first screenful at {wide} by {high}: {missing}"
        if wide == 360:
            tablet.browser.execute_script("document.querySelector('#stage').scrollIntoView({block: 'end'})")
        missing = out_of_sight(tablet, "#answer .verdict", "#answer .wheel strong", "#answer .least strong", "#stage")
        assert not missing, f"not seen together with the drawing at {wide} by {high}: {missing}"
        small = tablet.browser.execute_script("""
            return [...document.querySelectorAll("button, .button, .top a, summary, .track a, select, input:not([type=hidden])")]
                .filter((one) => one.offsetParent !== null && one.getBoundingClientRect().height < 43.5).map((one) => one.textContent);""")
        assert not small, f"smaller than a finger at {wide}: {small}"
    tablet.close()


def pads_by_key(server):
    """A pad is moved by arrows, 1 cm and with Shift 10 cm, and it is told; the states of a job are walked through."""
    tablet = Tablet(server, 820)
    tablet.go("/plan?lift=long-bay&vehicle=long-van&job=loaded-van-exhaust")
    reach = lambda: millimetres(tablet.text("#answer .front-left dl"))
    aft = lambda: float(re.search(r"front_left=([-.\d]+)", tablet.browser.current_url).group(1))
    before, ring = reach(), tablet.one(".grip[aria-label^='Front left pad']")
    ring.send_keys(Keys.ARROW_DOWN)
    tablet.until(lambda: "front_left=" in tablet.browser.current_url)
    first = aft()
    assert reach() != before and "Front left pad" in tablet.one("#said").get_attribute("textContent")
    ring.send_keys(Keys.SHIFT, Keys.ARROW_DOWN)
    tablet.until(lambda: abs(aft() - first - 0.1) < 0.001)
    assert tablet.browser.switch_to.active_element == ring, "the ring is lost while its pad is moved"
    moved = tablet.text("#answer .front-left dl")
    tablet.press("#states a[rel=next]")
    tablet.until(lambda: "State 2 of" in tablet.text("#states"))
    assert tablet.text("#answer .front-left dl") == moved and "Centre of gravity" in tablet.text("#states .at-state")
    tablet.press("#states a[rel=prev]")
    tablet.until(lambda: "State 1 of" in tablet.text("#states"))
    assert not tablet.all("#states a[rel=prev]")
    tablet.close()


def pad_behind_another(server):
    """A front pad moved behind the rear one cannot be computed: it is said in words, everything keeps its place, and moved back it is checked again."""
    for wide in (360, 820):
        tablet = Tablet(server, wide)
        tablet.wide(wide, SCREENS[wide])
        tablet.go("/plan?lift=north-bay&vehicle=hatchback")
        ring = tablet.one(".grip[aria-label^='Front left pad']")
        ring.send_keys(Keys.ARROW_DOWN)
        tablet.until(lambda: "front_left=" in tablet.browser.current_url)
        reach, place = tablet.text("#answer .front-left dd"), tablet.one("#stage").rect
        for _ in range(16):
            ring.send_keys(Keys.SHIFT, Keys.ARROW_DOWN)
        tablet.until(lambda: "Cannot be computed so" in tablet.text("#answer .verdict"))
        tablet.until(lambda: "front left pad is not ahead of the rear left pad" in tablet.text("#answer .lost"))
        tablet.browser.save_screenshot(str(PICTURES / f"plan-not-computed-{wide}.png"))
        assert tablet.text("#answer .front-left dd") == "–" and len(tablet.all("#answer .arm")) == 4
        now = tablet.one("#stage").rect
        assert abs(now["y"] - place["y"]) < 60 and now["width"] == place["width"], f"the drawing jumps at {wide}: {place} {now}"
        for _ in range(16):
            ring.send_keys(Keys.SHIFT, Keys.ARROW_UP)
        tablet.until(lambda: not tablet.all("#answer .lost") and tablet.text("#answer .front-left dd") == reach)
        assert "Cannot" not in tablet.text("#answer .verdict")
        tablet.close()


def plan_cut_off(server):
    """Without the network nothing is said of what was moved and no raise begins by it; it is asked again by itself."""
    tablet = Tablet(server, 820)
    tablet.sign_in("r-holt")
    tablet.go("/plan?lift=north-bay&vehicle=hatchback")
    planned = tablet.text("#answer .wheel strong")
    assert tablet.one("form[action='/raise'] button").is_enabled()
    tablet.cut(True)
    tablet.one("#stage").send_keys(Keys.ARROW_UP)
    tablet.until(lambda: "Not checked" in tablet.text("#answer .verdict"))
    assert not any(button.is_enabled() for button in tablet.all("#answer form button")), "it can be raised unchecked"
    tablet.browser.execute_script("scrollTo(0, 0)")
    assert not out_of_sight(tablet, "#answer .lost"), "why is not on the first screenful"
    tablet.browser.save_screenshot(str(PICTURES / "plan-cut-off.png"))
    tablet.cut(False)
    tablet.until(lambda: not tablet.all("#answer .lost"))
    assert tablet.text("#answer .wheel strong") != planned and "Not checked" not in tablet.text("#answer .verdict")
    tablet.close()


# A stream that opens three seconds late.
LATE_STREAM = """
    const Real = window.EventSource;
    window.EventSource = class extends EventTarget {
        static OPEN = 1;
        readyState = 0;
        constructor(address) {
            super();
            this.late = setTimeout(() => {
                this.real = new Real(address);
                for (const kind of ["changed", "alive", "error"]) this.real.addEventListener(kind, (event) => {
                    this.readyState = this.real.readyState;
                    this.dispatchEvent(new MessageEvent(kind, {data: event.data}));
                });
            }, 3000);
        }
        close() { clearTimeout(this.late); this.real?.close(); }
    };"""
# The next reading fails; what every reading says of itself is kept.
ONE_FAILS = """
    const real = window.fetch;
    let fails = 1;
    window.asked = [];
    window.fetch = (...what) => {
        window.asked.push(new Headers(what[1]?.headers).get("Standfast-By-Itself"));
        return fails-- > 0 ? Promise.reject(new TypeError("cut")) : real(...what);
    };"""


def board_cut_off(server):
    """A board that is not heard says so and of when it is; a reading that fails is made again, and a late stream misses nothing."""
    board, tablet, late = Tablet(server), Tablet(server), Tablet(server)
    cut_off = lambda: board.text("#cut-off") if board.all("#cut-off") else ""
    board.go("/today")
    server.process.kill()
    server.process.wait()
    board.until(lambda: re.search(r"No connection. What is shown is of \d\d:\d\d", cut_off()), 5)
    board.browser.save_screenshot(str(PICTURES / "board-cut-off.png"))
    server.start(server.address.removeprefix("http://"))
    board.until(lambda: not cut_off(), 15)
    tablet.sign_in("r-holt")
    board.go("/today")
    time.sleep(0.5)
    board.browser.execute_script(ONE_FAILS)
    tablet.enter("tag", lift="long-bay", words="a hose weeps")
    board.until(lambda: "a hose weeps" in board.text(), 4)
    assert not cut_off()
    asked = board.browser.execute_script("return window.asked")
    assert len(asked) >= 2 and all(said == "1" for said in asked), f"what it reads by itself would keep somebody signed in: {asked}"
    late.browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": LATE_STREAM})
    late.go("/today")
    tablet.enter("tag", lift="long-bay", words="a second hose")
    assert "a second hose" not in late.text()
    late.until(lambda: "a second hose" in late.text(), 6)
    for one in (board, tablet, late):
        one.close()


def seven_tabs(server):
    """Seven tabs of one browser load, and the one that is looked at follows: a hidden one holds no connection."""
    board, tablet = Tablet(server), Tablet(server)
    tablet.sign_in("r-holt")
    board.browser.set_page_load_timeout(8)
    took = []
    for k in range(7):
        if k:
            board.browser.switch_to.new_window("tab")
        began = time.monotonic()
        board.go("/today")
        took.append(time.monotonic() - began)
    tablet.enter("tag", lift="long-bay", words="a third hose")
    board.until(lambda: "a third hose" in board.text(), 2)
    board.browser.switch_to.window(board.browser.window_handles[0])
    board.until(lambda: "a third hose" in board.text(), 3)
    assert not board.all("#cut-off")
    print(f"   the slowest of seven tabs came in {max(took) * 1000:.0f} ms")
    board.close()
    tablet.close()


def pages_follow(server):
    """A lift is taken out of service: the plan page, its record and the board's answers say so at once; another's name writes nothing."""
    plan, record, board, tablet = [Tablet(server) for _ in range(4)]
    for one in (plan, record, tablet):
        one.sign_in("r-holt")
    plan.go("/plan?lift=north-bay&vehicle=hatchback")
    record.go("/lift/north-bay")
    board.go("/today?vehicle=hatchback")
    assert plan.one("form[action='/raise'] button").is_enabled()
    assert "May be used." in record.text("#standing") and "best bay is North bay" in board.text("#fits")
    tablet.enter("tag", lift="north-bay", words="a lock is silent")
    plan.until(lambda: "a lock is silent" in plan.text("#standing").lower() and not plan.all("form[action='/raise']"), 2)
    record.until(lambda: "a lock is silent" in record.text("#standing").lower() and "a lock is silent" in record.text("#happened"), 2)
    board.until(lambda: "best bay" not in board.text("#fits") and "a lock is silent" in board.text("#fits").lower(), 2)
    tablet.enter("return", lift="north-bay", words="looked at: it is heard")
    tablet.go("/enter/check?lift=north-bay")
    items = [field.get_attribute("name") for field in tablet.all("form.sheet [type=radio][value=right]")]
    tablet.fill(**{item: "right" for item in items})
    # Another signs in beside it: the check is not theirs.
    mine = tablet.browser.current_window_handle
    tablet.browser.switch_to.new_window("tab")
    tablet.sign_in("t-vane")
    tablet.browser.switch_to.window(mine)
    tablet.press("main button.main")
    tablet.until(lambda: "now t-vane is signed in" in tablet.text())
    assert "Must not be used" in record.text("#standing"), "it was written"
    tablet.sign_in("r-holt")
    tablet.go("/enter/check?lift=north-bay")
    tablet.fill(**{item: "right" for item in items})
    tablet.press("main button.main")
    tablet.until(lambda: "/lift/north-bay" in tablet.browser.current_url)
    plan.until(lambda: plan.all("form[action='/raise']"), 2)
    # What the plan was made from is another: it is looked at again first.
    tablet.enter("measurement", vehicle="hatchback", what="outline.roof", value="1.47 m", how="tape")
    plan.until(lambda: "has changed" in plan.text("#answer .lost"), 3)
    assert not plan.one("form[action='/raise'] button").is_enabled(), "a raise begins by what was shown before"
    plan.press("#answer .lost a")
    plan.until(lambda: plan.all("form[action='/raise']") and not plan.all("#answer .lost"))
    for one in (plan, record, board, tablet):
        one.close()


def plan_of_one_setup(server):
    """What stands below the drawing is of the setup that is shown, or says that it is not; so with what is picked anew."""
    tablet = Tablet(server, 820)
    tablet.go("/plan?lift=long-bay&vehicle=long-van&job=loaded-van-exhaust")
    below = lambda: tablet.one("#below").get_attribute("textContent")
    ring, best = tablet.one(".grip[aria-label^='Front left pad']"), below()
    tablet.browser.execute_script("""
        const real = window.fetch;
        let first = true;
        window.fetch = async (...what) => {
            const holds = first && String(what[0]).includes("/plan?");
            if (holds) first = false;
            const answer = await real(...what);
            if (holds) await new Promise((resolve) => setTimeout(resolve, 2500));
            return answer;
        };""")
    ring.send_keys(Keys.SHIFT, Keys.ARROW_DOWN)
    tablet.until(lambda: "front_left=" in tablet.browser.current_url)
    assert "Not of this setup" in tablet.text("#below-is-old") and tablet.one("#below").get_property("inert")
    tablet.press(".stage [data-home]")
    tablet.until(lambda: not tablet.all("#answer .moved") and not tablet.all("#below-is-old"))
    assert below() == best
    time.sleep(3)
    assert below() == best, "an answer to an earlier question is shown"
    tablet.press(".picked summary")
    job = Select(tablet.one("form.pick [name=job]"))
    job.select_by_value("")
    tablet.until(lambda: "not of what you picked" in tablet.text("#unasked"))
    assert tablet.one("div.plan").get_property("inert")
    job.select_by_value("loaded-van-exhaust")
    tablet.until(lambda: not tablet.all("#unasked"))
    assert not tablet.one("div.plan").get_property("inert")
    tablet.close()


def long_name(server):
    """The header is no wider than the page, and Sign out on the screen, whatever somebody is called."""
    tablet, name = Tablet(server), "maximilian-featherstonehaugh"
    tablet.sign_in("r-holt")
    tablet.enter("person", name="Maximilian Featherstonehaugh", person=name, role="technician", of_age="1990-01-01")
    tablet.press("details summary")
    tablet.fill(present="2580", pin="2580", again="2580")
    tablet.press("details button.main")
    tablet.until(lambda: not tablet.all("details[open]"))
    tablet.go("/sign-in")
    tablet.fill(person=name, pin="2580")
    tablet.press("main button.main")
    tablet.until(lambda: tablet.all("form[action='/sign-out']"))
    for wide in (320, 360, 737, 750, 768, 780, 820, 865, 1024):
        tablet.wide(wide)
        tablet.go("/today")
        tablet.browser.save_screenshot(str(PICTURES / f"long-name-{wide}.png"))
        needs = tablet.browser.execute_script("return document.documentElement.scrollWidth")
        assert needs <= wide, f"{needs} wide at {wide}"
        assert not out_of_sight(tablet, ".top .switch", "form[action='/sign-out'] button"), f"off the screen at {wide}"
    tablet.close()


def kept_plan(server):
    """A plan is moved by key, kept as moved, and found again by its mark."""
    tablet = Tablet(server, 820)
    tablet.sign_in("r-holt")
    tablet.go("/plan?lift=north-bay&vehicle=hatchback")
    planned = millimetres(tablet.text("#answer .wheel strong"))
    for _ in range(3):
        tablet.one("#stage").send_keys(Keys.ARROW_UP)
    tablet.until(lambda: millimetres(tablet.text("#answer .wheel strong")) == planned + 30)
    tablet.until(lambda: "spot=" in tablet.browser.current_url)
    wheel = tablet.text("#answer .wheel strong")
    tablet.press("form[action='/plan/keep'] button")
    tablet.until(lambda: "/plan/kept/" in tablet.browser.current_url)
    assert tablet.text("#answer .wheel strong") == wheel, "another setup was kept than was shown"
    path, mark = tablet.browser.current_url, re.search(r"Mark ([0-9a-f]{12})", tablet.text()).group(1)
    tablet.go(f"/records?words={mark}")
    tablet.link("Look at it")
    tablet.until(lambda: tablet.browser.current_url == path)
    tablet.close()


def quick_to_raise(server):
    """A vehicle by its figures is named from its plan, and the way leads back to that plan, where it can be raised."""
    tablet = Tablet(server)
    tablet.sign_in("r-holt")
    tablet.go("/plan?lift=north-bay&wheelbase=2520&mass=1180&body=hatchback&drive=front&front=580&rear=1980&left=700")
    assert not tablet.all("form[action='/raise']")
    tablet.press("#answer form[action='/measure/vehicle'] button")
    tablet.until(lambda: tablet.all("[name=mark]"))
    tablet.fill(mark="TW 99")
    tablet.press("form.sheet button.main")
    tablet.until(lambda: "Back to the plan" in tablet.text())
    tablet.press("a.button.main")
    tablet.until(lambda: tablet.all("form[action='/raise']"))
    for part in ["lift=north-bay", "vehicle=tw-99"]:
        assert part in tablet.browser.current_url
    tablet.close()


def begin_raise(tablet, vehicle="hatchback", job=""):
    tablet.go(f"/plan?lift=north-bay&vehicle={vehicle}&job={job}")
    tablet.press("form[action='/raise'] button")
    tablet.until(lambda: re.search(r"/raise/\d+$", tablet.browser.current_url))
    return tablet.browser.current_url.removeprefix(tablet.server.address)


def ready(tablet):
    """A new point's button is inert at first."""
    tablet.until(lambda: tablet.one(".confirm button").get_attribute("aria-disabled") != "true")


def confirm(tablet):
    """Presses it, and waits until the next point is shown."""
    point = tablet.text(".point h1")
    ready(tablet)
    tablet.press(".confirm button")
    tablet.until(lambda: not tablet.all(".point h1") or tablet.text(".point h1") != point)


def tapped_twice(tablet, gap):
    """A finger taps Confirm twice where it lies: one point is confirmed, and the next one's button comes back."""
    ready(tablet)
    label = lambda: int(re.search(r"Hold point (\d+)", tablet.text(".point .label")).group(1))
    before, at = label(), [int(place) for place in middle(tablet, ".confirm button")]
    actions = ActionBuilder(tablet.browser, mouse=PointerInput("touch", "finger"))
    move = actions.pointer_action
    move.move_to_location(*at).pointer_down().pause(0.04).pointer_up().pause(gap)
    move.pointer_down().pause(0.04).pointer_up()
    actions.perform()
    tablet.until(lambda: label() > before)
    ready(tablet)
    assert label() == before + 1, f"two taps with {gap} s between them confirmed {label() - before} points"


# How much of the drawing stands above the buttons: on a phone it is as high as its words need, and goes on below.
DRAWN = """
    const top = document.querySelector(".picture > svg").getBoundingClientRect().top;
    return document.querySelector(".acts").getBoundingClientRect().top - top;"""


def at_arms_length(tablet, address):
    """Picture and both buttons are on the first screenful, on a phone the picture's beginning; the buttons are alike."""
    for wide in (360, 820, 1280):
        tablet.wide(wide, SCREENS[wide])
        tablet.go(address)
        missing = out_of_sight(tablet, ".point h1", ".acts .big", *([".picture > svg"] if wide > 360 else []))
        assert not missing, f"{tablet.text('.point h1')} at {wide}: {missing}"
        drawn = tablet.browser.execute_script(DRAWN)
        assert drawn > 100, f"{tablet.text('.point h1')} at {wide}: {drawn} of the picture are seen"
        confirm, wrong = [b.size for b in tablet.all(".acts .big")]
        assert confirm == wrong, "one button is larger than the other"
    for wide, high in [(740, 360), (780, 437)]:
        tablet.wide(wide, high)
        for css in [".point h1", ".point .look li:last-child"]:
            tablet.browser.execute_script("document.querySelector(arguments[0]).scrollIntoView({block: 'end'})", css)
            assert not out_of_sight(tablet, css), f"{css} is covered at {wide} by {high}"
    tablet.wide(1024)
    tablet.go(address)


def raise_on_two_tablets(server):
    """A whole raise; the network is cut in the middle, the program killed, another tablet takes over; nothing twice."""
    first, second = Tablet(server), Tablet(server, 820)
    first.sign_in("r-holt")
    second.sign_in("t-vane")
    address = begin_raise(first)
    at_arms_length(first, address)
    second.go(address)
    assert "leads this raise" in second.text()
    for gap in (0.1, 0.3, 0.7):
        tapped_twice(first, gap)
    first.cut(True)
    point = first.text(".point h1")
    first.press(".confirm button")
    first.until(lambda: "No connection" in first.text())
    assert first.text(".point h1") == point, "it went on without having been confirmed"
    first.cut(False)
    first.until(lambda: first.text(".point h1") != point)
    server.again()
    second.sign_in("t-vane")
    second.go(address)
    at = second.text(".point h1")
    ready(second)
    second.press(".acts form button")
    second.until(lambda: "led by t-vane" in second.text())
    assert second.text(".point h1") == at
    # The first tablet does not know yet: what it sends is refused, and shows where the raise stands now.
    first.sign_in("r-holt")
    first.go(address)
    first.until(lambda: "leads this raise" in first.text())
    seen = 0
    while second.all(".confirm button"):
        second.browser.save_screenshot(str(PICTURES / f"raise-{seen:02}.png"))
        confirm(second)
        seen += 1
        assert seen < 40
    said = second.text()
    assert said.count("Lowered, and driven off") == 1, said
    assert "has ended" in said and "R. Holt, then T-VANE" in said, said
    for way in ("a[href='/today']", "a[href='/plan?lift=north-bay']", "a[download][href$='/record']", "a[href$='/replay?step=1']"):
        assert second.all(f"#raise {way}"), f"no way on: {way}"
    history = second.browser.execute_script("return document.querySelector('.events').textContent")
    points = re.findall(r"Every tyre|every tyre is clear", history)
    assert len(points) == 1, f"confirmed {len(points)} times"
    first.close()
    second.close()


def raise_goes_on_elsewhere(server):
    """While "Not right" is filled in the raise goes on at another tablet: that is loud at once, nothing typed is lost, and it is written."""
    first, second = Tablet(server), Tablet(server, 820)
    first.sign_in("r-holt")
    second.sign_in("t-vane")
    address = begin_raise(first)
    point = first.text(".point h1")
    first.one("#not-right [name=words]").send_keys("a creak at")
    second.go(address)
    ready(second)
    second.press(".acts form button")
    second.until(lambda: "led by t-vane" in second.text())
    confirm(second)
    now = second.text(".point h1")
    first.until(lambda: now in first.text("#went-on"), 3)
    assert not out_of_sight(first, "#went-on"), "that it went on is not in sight"
    assert first.one(".confirm button").get_attribute("aria-disabled") == "true", "what was passed can be confirmed"
    first.browser.save_screenshot(str(PICTURES / "raise-went-on.png"))
    first.one("#not-right [name=words]").send_keys(" the rear left")
    assert first.text(".point h1") == point, "the form is taken from under whoever fills it in"
    first.browser.execute_script("document.activeElement.blur()")
    first.until(lambda: first.text(".point h1") == now and not first.all("#went-on"), 3)
    assert first.one("#not-right [name=words]").get_attribute("value") == "a creak at the rear left"
    # Written from a page that is old again.
    first.one("#not-right [name=words]").send_keys(".")
    confirm(second)
    first.until(lambda: first.all("#went-on"), 3)
    first.press("#not-right [value=noise]")
    written = lambda: first.browser.execute_script("return document.querySelector('.events').textContent").count("a creak at the rear left.")
    first.until(lambda: written() == 1)
    # By key, the point that comes next is where one is.
    first.until(lambda: first.all(".acts form button"))
    ready(first)
    first.one(".acts form button").send_keys(Keys.ENTER)
    first.until(lambda: "led by r-holt" in first.text())
    for _ in range(2):
        before = first.text(".point h1")
        ready(first)
        first.one(".confirm button").send_keys(Keys.ENTER)
        first.until(lambda: first.text(".point h1") != before)
        focused = first.browser.switch_to.active_element
        assert focused.tag_name == "h1" and focused.text == first.text(".point h1"), f"not on the new point: {focused.tag_name} {focused.text}"
    while first.all(".confirm button"):
        confirm(first)
    first.close()
    second.close()


def to_shaken(tablet):
    """A raise that is at its shaking: its address."""
    address = begin_raise(tablet)
    while "shaken" not in tablet.text(".point h1").lower():
        confirm(tablet)
    return address


def brought_down(tablet):
    tablet.until(lambda: tablet.all("#not-right"))
    if "Only the way down" not in tablet.text():
        tablet.one("#not-right [name=words]").send_keys(" Only tried.")
        tablet.press("#not-right [value=down]")
        tablet.until(lambda: "Only the way down" in tablet.text())
    while tablet.all(".confirm button"):
        confirm(tablet)


HISTORY = "return document.querySelector('.events').textContent"


def taken_back(server):
    """A Confirm that waits for the network is taken back by what is not right: that is written, and the point is not confirmed."""
    tablet = Tablet(server, 820)
    tablet.sign_in("r-holt")
    to_shaken(tablet)
    ready(tablet)
    tablet.cut(True)
    tablet.press(".confirm button")
    tablet.until(lambda: "No connection" in tablet.text())
    assert tablet.one("#not-right [value=noise]").is_enabled(), "nothing can be said while a Confirm waits"
    tablet.one("#not-right [name=words]").send_keys("a knock behind")
    tablet.until(lambda: "Taken back" in tablet.text("#line"))
    tablet.browser.save_screenshot(str(PICTURES / "raise-taken-back.png"))
    tablet.cut(False)
    time.sleep(5)
    assert "still and silent" not in tablet.browser.execute_script(HISTORY), "it was confirmed all the same"
    tablet.press("#not-right [value=noise]")
    tablet.until(lambda: "a knock behind" in tablet.browser.execute_script(HISTORY))
    assert "still and silent" not in tablet.browser.execute_script(HISTORY)
    tablet.until(lambda: "under or around" in tablet.text(".point h1"))
    # Pressed while it waits without a word before, it overtakes as well.
    ready(tablet)
    tablet.cut(True)
    tablet.press(".confirm button")
    tablet.until(lambda: "No connection" in tablet.text())
    tablet.press("a.not-right")
    tablet.until(lambda: "Taken back" in tablet.text("#line"))
    tablet.cut(False)
    tablet.go(tablet.browser.current_url.removeprefix(server.address).split("#")[0])
    brought_down(tablet)
    tablet.close()


def back_in_service(tablet):
    """North bay is returned, and checked before use."""
    tablet.enter("return", lift="north-bay", words="the seal is new")
    tablet.go("/enter/check?lift=north-bay")
    items = [field.get_attribute("name") for field in tablet.all("form.sheet [type=radio][value=right]")]
    tablet.fill(**{item: "right" for item in items})
    tablet.press("main button.main")
    tablet.until(lambda: "/lift/north-bay" in tablet.browser.current_url)


def held_on_the_floor(server):
    """The lift is tagged while a vehicle stands on the floor, and after a noise: nothing is readied, the raise ends or waits."""
    tablet, other = Tablet(server, 820), Tablet(server)
    tablet.sign_in("r-holt")
    other.sign_in("t-vane")
    address = begin_raise(tablet)
    held = lambda: "HELD UP" in tablet.text() and not tablet.all(".confirm button") and not tablet.all(".picture")
    for again in (False, True):
        while "pads are seated" not in tablet.text(".point h1"):
            confirm(tablet)
        if again:
            confirm(tablet)
            confirm(tablet)
            confirm(tablet)
            tablet.one("#not-right [name=words]").send_keys("a knock")
            tablet.press("#not-right [value=noise]")
            tablet.until(lambda: "under or around" in tablet.text(".point h1"))
            while "pads are seated" not in tablet.text(".point h1"):
                confirm(tablet)
        other.enter("tag", lift="north-bay", words="oil at the column, seen from the left while it was let down")
        tablet.until(held)
        assert "bring it down" not in tablet.text(".now").lower() and "stays on the floor" in tablet.text(".point h1")
        for wide in (360, 820, 1920):
            tablet.wide(wide, SCREENS.get(wide, 1080))
            tablet.browser.save_screenshot(str(PICTURES / f"raise-held-floor-{wide}.png"))
            hidden = tablet.browser.execute_script("const f = document.querySelector('.acts textarea'); return f.scrollHeight - f.clientHeight")
            assert hidden <= 0, f"{hidden} points of the reason are hidden at {wide}"
        tablet.wide(820)
        if again:
            tablet.press(".acts form button")
            tablet.until(lambda: "Only the way down" in tablet.text())
            brought_down(tablet)
        back_in_service(tablet)
        if not again:
            tablet.go(address)
            tablet.until(lambda: tablet.all(".confirm button"))
    tablet.close()
    other.close()


def pictures_of_a_raise(server):
    """On a phone every drawing of a raise is as wide as the screen, and its words no smaller than 11 points."""
    tablet = Tablet(server, 360)
    tablet.wide(360, SCREENS[360])
    tablet.sign_in("r-holt")
    found = []
    for job in ("brakes", "engine-and-gearbox-out"):
        begin_raise(tablet, job=job)
        for _ in range(60):
            if not tablet.all(".confirm button"):
                break
            point = tablet.one(".confirm [name=point]").get_attribute("value")
            if tablet.all(".picture > svg"):
                found += [f"{job}, {point}: type of {points:.1f}: {says}" for points, says in tablet.browser.execute_script(SMALL_TYPE)]
                missing = out_of_sight(tablet, ".acts .big")
                found += [f"{job}, {point}: not in sight: {missing}"] if missing else []
                tablet.browser.save_screenshot(str(PICTURES / f"raise-{job}-{point}-360.png"))
            confirm(tablet)
    tablet.close()
    assert not found, "\n".join(found)


def held_up(server):
    """The lift is tagged while a vehicle hangs on its arms: the tablet there offers the way down, and nothing else."""
    tablet, other = Tablet(server, 820), Tablet(server)
    tablet.sign_in("r-holt")
    other.sign_in("t-vane")
    address = to_shaken(tablet)
    other.enter("tag", lift="north-bay", words="oil at the column")
    tablet.until(lambda: "HELD UP" in tablet.text())
    assert not tablet.all(".confirm button") and not tablet.all(".picture") and "enter check" not in tablet.text()
    for wide in (360, 820, 1920):
        tablet.wide(wide, SCREENS.get(wide, 1080))
        tablet.browser.save_screenshot(str(PICTURES / f"raise-held-up-{wide}.png"))
    tablet.wide(820)
    tablet.press(".acts form button")
    tablet.until(lambda: "Only the way down" in tablet.text())
    brought_down(tablet)
    tablet.go(address)
    back_in_service(tablet)
    tablet.close()
    other.close()


def header_names_who_is_here(server):
    """Signed out in another tab, a board that is left open names nobody: it says who is signed in now."""
    board = Tablet(server, 820)
    board.sign_in("r-holt")
    board.go("/today")
    assert "r-holt" in board.text(".who")
    mine = board.browser.current_window_handle
    board.browser.switch_to.new_window("tab")
    board.go("/plan")
    board.press("form[action='/sign-out'] button")
    board.until(lambda: board.all(".who a.person"))
    board.browser.switch_to.window(mine)
    board.until(lambda: "r-holt" not in board.text(".who") and "Sign in" in board.text(".who"))
    board.close()


def not_right_outlives_a_session(server):
    """Signed out in another tab while "Not right" is filled in: it is not written, says so, and is there after signing in."""
    tablet = Tablet(server, 820)
    tablet.sign_in("r-holt")
    to_shaken(tablet)
    mine = tablet.browser.current_window_handle
    tablet.one("#not-right [name=words]").send_keys("the front left pad turned")
    tablet.browser.switch_to.new_window("tab")
    tablet.go("/today")
    tablet.press("form[action='/sign-out'] button")
    tablet.until(lambda: tablet.all(".who a.person"))
    tablet.browser.switch_to.window(mine)
    tablet.press("#not-right [value=moved]")
    tablet.until(lambda: "nothing was written" in tablet.text("#line"))
    tablet.press("#line a[href^='/sign-in']")
    tablet.until(lambda: tablet.all("[name=pin]"))
    tablet.fill(person="r-holt", pin="2580")
    tablet.press("main button.main")
    tablet.until(lambda: "Not written yet" in tablet.text())
    assert tablet.one("#not-right [name=words]").get_attribute("value") == "the front left pad turned"
    assert "pad moved" in tablet.text("#raise > .told") and not tablet.all(".confirm button")
    tablet.browser.save_screenshot(str(PICTURES / "raise-not-written-yet.png"))
    tablet.press("#raise > .told button[value=moved]")
    tablet.until(lambda: "the front left pad turned" in tablet.browser.execute_script(HISTORY) and tablet.all(".confirm button"))
    assert "Not written yet" not in tablet.text() and "?" not in tablet.browser.current_url
    brought_down(tablet)
    tablet.close()


def learner(server):
    """A learner's point has both buttons on the first screenful, and above them the fields of whoever stands beside."""
    tablet = Tablet(server, 360)
    tablet.wide(360, SCREENS[360])
    tablet.sign_in("l-moss")
    tablet.go("/plan?lift=north-bay&vehicle=hatchback")
    tablet.press("details:has(form[action='/raise']) summary") if tablet.all("details:has(form[action='/raise'])") else None
    tablet.fill(second="t-vane", second_pin="2580")
    tablet.press("form[action='/raise'] button")
    tablet.until(lambda: re.search(r"/raise/\d+$", tablet.browser.current_url))
    for wide, high in [(360, SCREENS[360]), (1366, 768), (1024, 768)]:
        tablet.wide(wide, high)
        tablet.browser.execute_script("scrollTo(0, 0)")
        missing = out_of_sight(tablet, ".point h1", ".acts .big", "[name=second][form]", "[name=second_pin][form]")
        tablet.browser.save_screenshot(str(PICTURES / f"learner-{wide}.png"))
        assert not missing, f"not on the first screenful at {wide}: {missing}"
    tablet.wide(360, SCREENS[360])
    tablet.browser.execute_script("document.querySelector('[name=second_pin][form]').focus()")
    assert not out_of_sight(tablet, "[name=second_pin][form]"), "the field is under the buttons"
    tablet.fill(second="t-vane", second_pin="2580")
    confirm(tablet)
    tablet.one("#not-right [name=words]").send_keys("Only tried.")
    tablet.press("#not-right [value=down]")
    tablet.until(lambda: "way down" in tablet.text())
    while tablet.all(".confirm button"):
        confirm(tablet)
    tablet.close()


def spotted_elsewhere(server):
    """A spotting that does not hold is refused with its figure, which stays; one that holds is what the raise goes on with."""
    tablet = Tablet(server, 820)
    tablet.sign_in("r-holt")
    begin_raise(tablet)
    tablet.press("details:has([name=spot]) summary")
    tablet.fill(spot="2200 mm")
    tablet.press("form[action$='/measured'] button")
    tablet.until(lambda: "mm" in tablet.text("#raise > .told"))
    time.sleep(2.5)
    assert "mm" in tablet.text("#raise > .told"), "the reason is gone"
    assert "went on since" not in tablet.text(), "it was sent again by itself"
    tablet.press("details:has([name=spot]) summary")
    planned = tablet.one("[name=spot]").get_attribute("value")
    millimetres = int(planned.split()[0]) + 8
    tablet.fill(spot=f"{millimetres} mm")
    tablet.press("form[action$='/measured'] button")
    tablet.until(lambda: "as it was measured" in tablet.one(".picture svg").get_attribute("aria-label"))
    assert not tablet.all("#raise > .told"), "what was refused stays where it is right by now"
    tablet.press("a.not-right")
    tablet.one("[name=words]").send_keys("Only tried.")
    tablet.press("#not-right [value=down]")
    tablet.until(lambda: "way down" in tablet.text())
    while tablet.all(".confirm button"):
        confirm(tablet)
    tablet.close()


def noise(server):
    """A noise sends it down and back to seating; a lock that is not heard takes the lift out of service."""
    tablet = Tablet(server)
    tablet.sign_in("r-holt")
    begin_raise(tablet)
    while "shaken" not in tablet.text(".point h1").lower():
        confirm(tablet)
    tablet.fill(words="a creak at the rear left")
    tablet.press("#not-right [value=noise]")
    tablet.until(lambda: "under or around" in tablet.text(".point h1"))
    while "seated" not in tablet.text(".point h1"):
        confirm(tablet)
    while "raised past lock" not in tablet.text(".point h1"):
        confirm(tablet)
    tablet.fill(words="silence on the right column")
    tablet.press("#not-right [value=lock]")
    tablet.until(lambda: "Only the way down" in tablet.text())
    while tablet.all(".confirm button"):
        confirm(tablet)
    tablet.go("/today")
    tablet.until(lambda: "Must not be used" in tablet.text())
    tablet.close()


def out_of_service(server):
    """A lift that is out of service is not offered: no raise begins on it, and the board says why."""
    board, tablet = Tablet(server), Tablet(server)
    board.go("/today")
    tablet.sign_in("r-holt")
    tablet.go("/plan?lift=north-bay&vehicle=hatchback")
    assert "the lift must not be used" in tablet.text() and not tablet.all("form[action='/raise']")
    status = tablet.browser.execute_async_script("""
        const said = arguments[arguments.length - 1];
        const body = JSON.stringify({lift: "north-bay", vehicle: "hatchback"});
        fetch("/api/raise", {method: "POST", headers: {"Content-Type": "application/json"}, body})
            .then((answer) => said(answer.status));""")
    assert status == 409, f"a raise of it begins: {status}"
    tablet.enter("tag", lift="mill-bay", words="hydraulics weep")
    board.until(lambda: "hydraulics weep" in board.text(), 1.5)
    board.close()
    tablet.close()


def practice(server):
    """A situation is set with everything hidden; a learner drags, moves by key, raises, is told why, and tries again."""
    lead, learner = Tablet(server), Tablet(server, 820)
    lead.sign_in("r-holt")
    lead.go("/practice/set")
    lead.fill(name="Where is the weight?", lift="invented:north-bay", vehicle="invented:hatchback", note="Look at the nose.")
    for box in lead.all("[type=checkbox]"):
        box.click()
    lead.press("main button.main")
    lead.until(lambda: re.search(r"/practice/\d+$", lead.browser.current_url))
    path = lead.browser.current_url.removeprefix(server.address)
    learner.sign_in("l-moss")
    learner.go(path)
    hidden = learner.browser.page_source
    assert "mark A" not in hidden and "Load" not in hidden and "reserve" not in hidden
    field = lambda name: float(learner.one(f"[name={name}]").get_attribute("value"))
    spot, aft = field("spot"), field("front-left-aft")
    learner.one("#stage").send_keys(Keys.ARROW_UP)
    learner.until(lambda: field("spot") == spot + 10)
    svg = learner.one("#stage")
    learner.browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", svg)
    pad = learner.browser.execute_script(
        """const bay = JSON.parse(document.querySelector(".stage").dataset.bay), at = bay.setup.pads[0];
        const drawn = new DOMPoint(bay.origin[0] - at.bay_y_m * bay.per_metre, bay.origin[1] - at.bay_x_m * bay.per_metre);
        const point = drawn.matrixTransform(arguments[0].getScreenCTM());
        return [point.x, point.y, bay.per_metre * arguments[0].getScreenCTM().a];""", svg)
    actions = ActionBuilder(learner.browser, mouse=PointerInput("touch", "finger"))
    move = actions.pointer_action
    move.move_to_location(int(pad[0]), int(pad[1])).pointer_down()
    for step in range(1, 11):
        move.move_to_location(int(pad[0]), int(pad[1] + pad[2] * 0.02 * step))
        move.pause(0.02)
    move.pointer_up()
    actions.perform()
    learner.until(lambda: field("front-left-aft") > aft + 100)
    aft = field("front-left-aft")
    learner.press(".fields button")
    learner.until(lambda: "/tried/" in learner.browser.current_url, 30)
    for said in ["What fails first", "What the plate says", "mark A", "What a silent shake", "Beside the best"]:
        assert said in learner.text(), said
    learner.press("main .button.main")
    learner.until(lambda: learner.all("#stage"))
    assert abs(field("front-left-aft") - aft) < 2, "from where it was"
    lead.go(path)
    assert "l-moss" in lead.text("table")
    lead.close()
    learner.close()


def without_script(server):
    """Plan, working and forms work with scripts switched off."""
    tablet = Tablet(server)
    tablet.browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    tablet.go("/plan")
    Select(tablet.one("[name=vehicle]")).select_by_value("pickup")
    tablet.one("form.pick button").click()
    tablet.until(lambda: "vehicle=pickup" in tablet.browser.current_url)
    assert tablet.all("#answer .arm")
    dead = [button.text for button in tablet.all("button[type=button], [tabindex='0']") if button.is_displayed()]
    assert not dead, f"without scripts these do nothing: {dead}"
    tablet.go("/plan?lift=long-bay&vehicle=long-van&job=loaded-van-exhaust")
    tablet.press("#states a[rel=next]")
    tablet.until(lambda: "State 2 of" in tablet.text("#states"))
    tablet.go("/practice/invented/a-first-spot")
    tablet.press(".fields summary")
    tablet.fill(spot="1100")
    tablet.press(".fields details button")
    tablet.until(lambda: "/raise?" in tablet.browser.current_url, 30)
    assert "This one stands on it" in tablet.text() and "Not kept" in tablet.text()
    tablet.browser.quit()


# A hatchback with all four pads behind its centre of gravity.
TIPS = "unit=mm&way=forwards&spot=1100&offset=0&yaw=0&" + "&".join(
    f"{end}-{side}-aft={aft}&{end}-{side}-out=710"
    for end, aft in [("front", 1400), ("rear", 1930)] for side in ["left", "right"])


# Words of drawings that are less than 11 points high.
SMALL_TYPE = """
    return [...document.querySelectorAll("main svg text:not(.carries)")].filter((text) => text.checkVisibility())
        .map((text) => [parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a, text.textContent])
        .filter(([points]) => points < 10.95);"""


def pages_to_look_at(server):
    """Every page at four widths: no serious finding of axe-core, nothing wider than the screen; pictures are kept, dim ones too."""
    tablet = Tablet(server)
    tablet.sign_in("r-holt")
    pages = {
        "today": "/today", "today-fits": "/today?vehicle=hatchback&on=mill-bay", "plan": "/plan?lift=north-bay&vehicle=hatchback",
        "plan-job": "/plan?lift=mill-bay&vehicle=pickup&job=rear-axle-off",
        "plan-refused": "/plan?lift=north-bay&vehicle=recovery-truck", "raises": "/raises", "records": "/records",
        "lift": "/lift/north-bay", "person": "/person/r-holt", "vehicle": "/vehicle/hatchback",
        "check": "/enter/check", "settings": "/settings", "limits": "/settings/limits", "raise-ended": "/raise/1",
        "replay": "/raise/1/replay?step=4", "replay-spotted": "/raise/1/replay?step=1", "job-form": "/make/job?vehicle=hatchback",
        "job-change": "/make/job?vehicle=hatchback&job=wheels-off", "job": "/job/wheels-off", "first-steps": "/first-steps", "examination": "/enter/examination?lift=north-bay", "practice": "/practice",
        "practice-try": "/practice/invented/a-loaded-van", "practice-set": "/practice/set", "practice-ended": f"/practice/invented/a-first-spot/raise?{TIPS}",
        "measure-lift": "/measure/lift", "measure-vehicle": "/measure/vehicle", "take-in": "/take-in",
        "measure-width": "/measure/lift/columns.inside", "measure-arm": "/measure/lift/arms.front.reach_out",
        "measure-lift-end": "/measure/lift/end", "measure-class": "/measure/vehicle/class",
        "measure-point": "/measure/vehicle/front.aft", "measure-rows": "/measure/lift/pads.adapters",
        "plan-figures": "/plan?lift=north-bay&wheelbase=2520&mass=&body=hatchback&drive=front&front=580&rear=1980&left=700", "sign-in": "/sign-in",
    }
    found = []
    scheme = lambda name: tablet.browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": name}]})
    for name, path in pages.items():
        for width in [*SCREENS, "dim"]:
            scheme("dark" if width == "dim" else "light")
            wide = 820 if width == "dim" else width
            tablet.wide(wide, SCREENS[wide])
            tablet.go(path)
            assert "There is no such page" not in tablet.text(), path
            needs = tablet.browser.execute_script("return document.documentElement.scrollWidth")
            if needs > wide:
                found.append(f"{name} at {width}: {needs} wide")
            tablet.browser.save_screenshot(str(PICTURES / f"{name}-{width}.png"))
            if width == 360:
                found += [f"{name} at {width}: type of {points:.1f} in a drawing: {says}" for points, says in tablet.browser.execute_script(SMALL_TYPE)]
            if width in (360, "dim"):
                tablet.browser.execute_script(AXE)
                said = tablet.browser.execute_async_script(
                    "const done = arguments[0]; axe.run({resultTypes: ['violations']}).then(r => done(r.violations))")
                for violation in said:
                    if violation["impact"] in ("serious", "critical"):
                        nodes = [node["html"][:90] for node in violation["nodes"][:3]]
                        found.append(f"{name} at {width}: {violation['id']}: {nodes}")
            if width != "dim":
                high = tablet.browser.execute_script("return document.documentElement.scrollHeight")
                tablet.wide(wide, min(high, 6000))
                tablet.browser.save_screenshot(str(PICTURES / f"{name}-{width}-whole.png"))
    tablet.close()
    assert not found, "\n".join(found)


ONLY = sys.argv[4:]
SCENARIOS = [
    first_run, first_plan_in_three_minutes, measuring, people, first_raise, settings, job_by_form, first_screenful, plan_by_touch, plan_comes_back, pads_by_key, which_bay, answers_are_of_what_was_asked, tapped_three_times, plan_cut_off, pad_behind_another, long_name, kept_plan, quick_to_raise, plan_of_one_setup, board_cut_off, seven_tabs, pages_follow, raise_on_two_tablets,
    raise_goes_on_elsewhere, taken_back, held_up, held_on_the_floor, pictures_of_a_raise, header_names_who_is_here, not_right_outlives_a_session, learner, spotted_elsewhere, without_words, noise, replay, out_of_service, practice, without_script, pages_to_look_at,
]


def main():
    PICTURES.mkdir(parents=True, exist_ok=True)
    server, failed = Server(), 0
    chosen = [s for s in SCENARIOS if not ONLY or s.__name__ in ONLY]
    for scenario in chosen:
        began = time.monotonic()
        try:
            scenario(server)
            print(f"ok   {scenario.__name__} ({time.monotonic() - began:.1f} s): {scenario.__doc__}")
        except Exception:
            failed += 1
            print(f"FAIL {scenario.__name__}: {scenario.__doc__}")
            traceback.print_exc(file=sys.stdout)
    server.stop()
    print(f"{len(chosen) - failed} passed, {failed} failed")
    sys.exit(failed > 0)


main()
