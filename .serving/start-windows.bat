@echo off
rem Double-click: starts Clothlight and opens it in the browser. This window ends it.
setlocal
title Clothlight
cd /d "%~dp0.."
where py >nul 2>nul
if not errorlevel 1 (
    py -3 manage.py serve --open %*
    goto end
)
where python >nul 2>nul
if not errorlevel 1 (
    python manage.py serve --open %*
    goto end
)
echo Clothlight needs Python 3.11 to 3.14, and none was found. Install it, then start again.
:end
pause
