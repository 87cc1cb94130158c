// Pairs this device: the code from the QR code behind the address, or typed.

const said = document.getElementById("said");
const field = document.getElementById("code");

async function pair(code) {
  said.textContent = "";
  try {
    const reply = await fetch("pair", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ code }),
    });
    if (reply.ok) {
      location.replace("./");
      return;
    }
    said.textContent = (await reply.json()).error;
  } catch {
    said.textContent = "The helper cannot be reached.";
  }
}

const go = () => field.value.trim() && pair(field.value);
document.getElementById("go").addEventListener("click", go);
field.addEventListener("keydown", (event) => event.key === "Enter" && go());
if (location.hash.length > 1) {
  const code = decodeURIComponent(location.hash.slice(1));
  history.replaceState(null, "", location.pathname); // it works once, and is nobody else's business
  pair(code);
}
