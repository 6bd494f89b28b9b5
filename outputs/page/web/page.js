"use strict";
/* One page: write the job, check it, build it, look at what came out. Text of others is only ever set as text. */

const at = (id) => document.getElementById(id);
let key = sessionStorage.getItem("key") ?? "";
let seen = 0;
let shown = 0;

function made(tag, text = "", kind = "") {
  const element = document.createElement(tag);
  element.textContent = text;
  if (kind) element.className = kind;
  return element;
}

function say(text) {
  at("said").textContent = text;
}

async function ask(path, body) {
  const options = { headers: { Authorization: `Bearer ${key}` } };
  if (body) Object.assign(options, { method: "POST", body: JSON.stringify(body) });
  let answer;
  try {
    answer = await fetch(path, options);
  } catch {
    throw new Error("boxwright does not answer. Does it still run in the terminal?");
  }
  const data = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(data.error ?? `boxwright answered with status ${answer.status}`);
  return data;
}

async function enter() {
  const link = location.hash.slice(1);
  if (link) {
    history.replaceState(null, "", location.pathname);
    if (!key) key = (await ask("/open", { link })).key;
    else key = await ask("/open", { link }).then((d) => d.key, () => key);
    sessionStorage.setItem("key", key);
  }
  const start = await ask("/start");
  at("job").value = sessionStorage.getItem("job") ?? start.text;
  showCautions(start.cautions);
  if (start.files.length) at("name").textContent += ` Files it may name: ${start.files.join(", ")}.`;
  for (const id of ["job", "check", "build"]) at(id).disabled = false;
  number();
  const last = await ask("/build?since=0");
  if (last.state === "running") follow();
  else if (last.state === "done") show(last);
}

function number() {
  const count = at("job").value.split("\n").length;
  at("lines").textContent = Array.from({ length: count }, (_, i) => i + 1).join("\n");
  at("lines").scrollTop = at("job").scrollTop;
}

function goTo(line) {
  const lines = at("job").value.split("\n");
  const from = lines.slice(0, line - 1).reduce((sum, text) => sum + text.length + 1, 0);
  at("job").focus();
  at("job").setSelectionRange(from, from + (lines[line - 1] ?? "").length);
  at("job").scrollTop = Math.max(0, (line - 6) * parseFloat(getComputedStyle(at("job")).lineHeight));
}

function showProblems(problems) {
  at("problems").replaceChildren(...problems.map((p) => {
    const row = made("li");
    if (p.line) {
      const button = made("button", `line ${p.line}`);
      button.type = "button";
      button.addEventListener("click", () => goTo(p.line));
      row.append(button);
    }
    if (p.path) row.append(made("code", `${p.path} = ${p.got}`), made("br"));
    row.append(`${p.want}. ${p.remedy}`);
    return row;
  }));
}

function showCautions(cautions) {
  if (cautions.length) at("cautions").replaceChildren(...cautions.map((c) => made("li", c)));
}

async function check() {
  const found = await ask("/check", { text: at("job").value });
  showProblems(found.problems);
  showCautions(found.cautions);
  say(found.problems.length ? `${found.problems.length} problem(s)` : "No problem found.");
}

async function build() {
  const arrangement = at("arrangement").value ? Number(at("arrangement").value) : null;
  showProblems([]);
  await ask("/build", { text: at("job").value, seconds: Number(at("seconds").value) || 20, arrangement });
  at("progress").textContent = "";
  seen = 0;
  follow();
}

function running(on) {
  at("build").disabled = on;
  at("stop").hidden = !on;
  if (on) at("progress").hidden = false;
}

async function follow() {
  running(true);
  say("Building.");
  for (;;) {
    const now = await ask(`/build?since=${seen}`);
    if (now.lines.length) at("progress").append(`${now.lines.join("\n")}\n`);
    at("progress").scrollTop = at("progress").scrollHeight;
    seen = now.next;
    if (now.state === "running") {
      await new Promise((done) => setTimeout(done, 400));
      continue;
    }
    running(false);
    const words = { done: "Done.", refused: "It cannot be built:", stopped: "Stopped.", fault: now.lines.at(-1) ?? "It ended early." };
    say(words[now.state]);
    showProblems(now.problems);
    if (now.state === "done") show(now);
    return;
  }
}

function show({ number: count, result, made: links }) {
  if (shown === count) return;
  shown = count;
  at("result").hidden = false;
  document.body.classList.remove("alone");
  at("progress").hidden = true;
  at("verdict").textContent = result.all_hold ? "Every check that is listed was made and holds." : "Not every check holds or could be made.";
  at("verdict").className = result.all_hold ? "" : "not";
  at("figures").replaceChildren(...result.figures.flatMap((line) => {
    const [, name, rest] = /^(\S+(?: \S+)*)\s{2,}(.*)$/.exec(line) ?? [null, "", line];
    return [made("dt", name), made("dd", rest)];
  }));
  at("package").href = links.package;
  at("package").setAttribute("download", result.name);
  at("tab").href = at("view").src = links.view;
  showArrangements(result);
  showChecks(result);
  showCautions(result.cautions);
}

function rows(table, list) {
  at(table).tBodies[0].replaceChildren(...list.map(({ cells, kind }) => {
    const row = made("tr", "", kind);
    row.append(...cells.map((c) => made("td", String(c))));
    return row;
  }));
}

function showArrangements(result) {
  rows("arrangements", result.arrangements.map((a) => ({
    kind: a.rank === result.fit.taken ? "taken" : "",
    cells: [
      a.rank, a.modules, a.box.max_mm.map((v, i) => Math.round(v - a.box.min_mm[i])).join(" × "),
      a.insertion?.possible ? "found" : "none found", a.best_at.join(", ") || "–",
    ],
  })));
}

function showChecks(result) {
  rows("checks", result.checks.map((c) => ({
    kind: c.verdict === "holds" ? "" : "not",
    cells: [
      c.verdict === "not checked" ? "not checked" : c.utilisation === null ? "no capacity" : c.utilisation.toFixed(2),
      c.name, c.part, c.case, c.verdict === "not checked" ? c.note : c.source,
    ],
  })));
  at("more").textContent = result.checks_left_out > 0 ? `${result.checks_left_out} more, all of lower figures, are in the package.` : "";
}

function guarded(work) {
  return async (event) => {
    event?.preventDefault();
    try {
      await work();
    } catch (error) {
      running(false);
      say(error.message);
    }
  };
}

at("check").addEventListener("click", guarded(check));
at("actions").addEventListener("submit", guarded(build));
at("stop").addEventListener("click", guarded(() => ask("/stop", {})));
at("job").addEventListener("input", () => { number(); sessionStorage.setItem("job", at("job").value); });
at("job").addEventListener("scroll", () => { at("lines").scrollTop = at("job").scrollTop; });
guarded(enter)();
