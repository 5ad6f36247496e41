#!/usr/bin/env bash
# Kills the window again and again in the middle of work, and looks at what is left.
#
#   tests/kill_window.sh [TIMES] [PROGRAM]        200 times, target/release/staffage
#
# Each time the real window is started on a scene, markers are drawn and saved in quick succession as a
# painter would, and SIGKILL comes at a random moment. Then
#   - the scene file must read, and so must what was put aside beside it, if anything was;
#   - one of the two must hold every marker but those of the last AFFORDABLE seconds, by the program's log.
# The next window takes the later work, so that the scene grows from one time to the next.
# Needs Xvfb and xdotool. SEED makes the moments come out the same again.
set -euo pipefail
cd "$(dirname "$0")/.."

times=${1:-200}
program=$(realpath "${2:-target/release/staffage}")
seed=${SEED:-1}
RANDOM=$seed
# The program puts work aside five seconds after the last time; the rest is for a busy machine.
AFFORDABLE=9

folder=$(mktemp -d)
scene=$folder/quay.ron
aside=$folder/quay.autosave.ron
export DISPLAY=:${DISPLAY_NUMBER:-96} XDG_DATA_HOME=$folder/data XDG_CONFIG_HOME=$folder/config XDG_RUNTIME_DIR=$folder
# Without a reset when the window, its last client, is killed.
Xvfb "$DISPLAY" -screen 0 1280x800x24 -nolisten tcp -noreset >/dev/null 2>&1 &
display=$!
stop() { kill -9 "${hand:-}" "${window:-}" "$display" 2>/dev/null || true; }
trap 'stop; rm -rf "$folder"' EXIT
for _ in $(seq 60); do xdotool getmouselocation >/dev/null 2>&1 && break; sleep 0.25; done

fail() {
  echo "time $round: $*"
  echo "the files are kept in $folder"
  trap stop EXIT
  exit 1
}

# The last number of markers that the log tells of before a moment (UTC, as the log has it); none: $2.
logged_before() {
  sed -n 's/^\([^ ]*\) .* step .*markers=\([0-9]*\).*/\1 \2/p' "$folder/log" |
    awk -v moment="$1" -v count="$2" '$1 < moment { count = $2 } END { print count }'
}

markers_in() {
  local status=0
  [ -e "$1" ] || { echo 0; return; }
  "$program" check "$1" >/dev/null 2>"$folder/complaint" || status=$?
  [ "$status" -le 1 ] || { echo "damaged"; return; }
  grep -o 'foot:' "$1" | wc -l
}

# Draws markers and saves now and then, until it is killed.
work() {
  local x y
  while true; do
    x=$((150 + RANDOM % 560)) y=$((400 + RANDOM % 100))
    xdotool key 3 mousemove "$x" "$y" sleep 0.1 mousedown 1 sleep 0.1 mousemove "$x" $((y - 20)) sleep 0.1 \
      mousemove "$x" $((y - 50)) sleep 0.1 mouseup 1 sleep 0.2 key Return sleep 0.1
    [ $((RANDOM % 4)) -eq 0 ] && xdotool key ctrl+s
  done
}

printf '(format: 1, scene: (title: "Quay"))\n' >"$scene"
from_aside=0
for round in $(seq "$times"); do
  before=$(markers_in "$scene") later=$(markers_in "$aside")
  [ "$aside" -nt "$scene" ] && [ "$later" != 0 ] && before=$later
  NO_COLOR=1 STAFFAGE_LOG=staffage_scene=debug "$program" "$scene" 2>"$folder/log" &
  window=$!
  for _ in $(seq 200); do
    xdotool search --onlyvisible --class staffage >/dev/null 2>&1 && break
    kill -0 "$window" 2>/dev/null || fail "the window did not open: $(tail -n 3 "$folder/log")"
    sleep 0.1
  done
  xdotool search --onlyvisible --class staffage windowfocus >/dev/null 2>&1 || true
  if [ "$aside" -nt "$scene" ]; then
    sleep 0.7
    xdotool key Tab key space
    from_aside=$((from_aside + 1))
  fi
  sleep 0.3
  ( work ) 2>/dev/null &
  hand=$!
  sleep "$(printf '%d.%03d' $((RANDOM % 8)) $((RANDOM % 1000)))"
  [ -z "${SHOT:-}" ] || import -window root "$SHOT"
  kill -9 "$window"
  due=$(logged_before "$(date -u -d "-$AFFORDABLE seconds" +%FT%T.%6N)" "$before")
  kill -9 "$hand"
  wait "$window" "$hand" 2>/dev/null || true

  saved=$(markers_in "$scene") put_aside=$(markers_in "$aside")
  [ "$saved" = damaged ] && fail "the scene is damaged: $(cat "$folder/complaint")"
  [ "$put_aside" = damaged ] && fail "what was put aside is damaged: $(cat "$folder/complaint")"
  kept=$((saved > put_aside ? saved : put_aside))
  drawn=$(logged_before 9 "$before")
  [ "$kept" -ge "$due" ] || fail "$due markers were there $AFFORDABLE s ago, only $kept are kept"
  printf '%4d  markers before %4d  drawn %4d  saved %4d  put aside %4d\n' "$round" "$before" "$drawn" "$saved" "$put_aside"
done
echo "killed $times times: the scene opened every time; later work was offered $from_aside times"
ls -A "$folder" | grep -v -e '^quay' -e '^data$' -e '^config$' -e '^log$' -e '^complaint$' || true
